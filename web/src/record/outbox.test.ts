import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { newId, schemaVersion, type LineEvent } from './entry';
import { batchSize, Outbox, type Send } from './outbox';
import { Seal } from './sealed';

const seal = await Seal.forNow();
let databases = 0;
const freshName = (): string => `outbox-${++databases}`;

const event = (id = newId()): LineEvent => ({
  id,
  line: newId(),
  occurred_at: '2026-11-25T08:00:00.000Z',
  recorded_at: '2026-11-25T08:00:01.000Z',
  author: 'A. Nurse',
  device: 'tablet 2',
  schema: schemaVersion,
  body: { kind: 'noted', text: 'slept well' },
});

const takeAll: Send = async (events) => events.map(({ id }) => ({ id, errors: [] }));

describe('Outbox', () => {
  it('keeps an entry over a reopened page', async () => {
    const name = freshName();
    const first = await Outbox.open(name, seal, takeAll);
    const entry = await first.add(event());
    first.close();
    const second = await Outbox.open(name, seal, takeAll);
    expect((await second.waiting()).map((one) => one.id)).toEqual([entry.id]);
  });

  it('sends in the order of making, in batches, and marks what the server has', async () => {
    const sent: string[][] = [];
    const outbox = await Outbox.open(freshName(), seal, async (events) => {
      sent.push(events.map(({ id }) => id));
      return takeAll(events);
    });
    const ids: string[] = [];
    for (let i = 0; i < batchSize + 3; i++) ids.push((await outbox.add(event())).id);
    expect(await outbox.flush()).toBe(batchSize + 3);
    expect(sent.map((batch) => batch.length)).toEqual([batchSize, 3]);
    expect(sent.flat()).toEqual(ids);
    expect((await outbox.all()).every((entry) => entry.status === 'kept')).toBe(true);
  });

  it('keeps everything when the server cannot be reached', async () => {
    let reachable = false;
    const outbox = await Outbox.open(freshName(), seal, async (events) => {
      if (!reachable) throw new Error('no network');
      return takeAll(events);
    });
    await outbox.add(event());
    await expect(outbox.flush()).rejects.toThrow('no network');
    expect(await outbox.waiting()).toHaveLength(1);
    reachable = true;
    expect(await outbox.flush()).toBe(1);
    expect(await outbox.waiting()).toHaveLength(0);
  });

  it('keeps a refused entry with its reasons, and does not send it again', async () => {
    let sendings = 0;
    const outbox = await Outbox.open(freshName(), seal, async (events) => {
      sendings++;
      return events.map(({ id }) => ({ id, errors: [{ path: '/body/text', found: '', expected: 'a text' }] }));
    });
    const { id } = await outbox.add(event());
    await outbox.flush();
    await outbox.flush();
    expect(sendings).toBe(1);
    expect(await outbox.all()).toMatchObject([{ id, status: 'refused', errors: [{ path: '/body/text' }] }]);
    await outbox.prune(Date.now() + 1_000);
    expect(await outbox.all()).toHaveLength(1);
    await outbox.discardRefused(id);
    expect(await outbox.all()).toHaveLength(0);
  });

  it('shares one run between callers, and leaves unanswered entries waiting', async () => {
    let runs = 0;
    const outbox = await Outbox.open(freshName(), seal, async (events) => {
      runs++;
      return takeAll(events.slice(0, 1));
    });
    await outbox.add(event());
    await outbox.add(event());
    const [a, b] = await Promise.all([outbox.flush(), outbox.flush()]);
    expect([a, b]).toEqual([2, 2]);
    expect(runs).toBe(2);
  });

  it('prunes only what the server has had for long enough', async () => {
    let now = 1_000;
    const outbox = await Outbox.open(freshName(), seal, takeAll, () => now);
    await outbox.add(event());
    await outbox.flush();
    now = 9_000;
    await outbox.add(event());
    await outbox.prune(5_000);
    expect((await outbox.all()).map((entry) => entry.status)).toEqual(['waiting']);
  });

  it('tells its watchers', async () => {
    let told = 0;
    const outbox = await Outbox.open(freshName(), seal, takeAll);
    const stop = outbox.watch(() => told++);
    await outbox.add(event());
    expect(told).toBe(1);
    stop();
    await outbox.add(event());
    expect(told).toBe(1);
  });
});
