import 'fake-indexeddb/auto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Reply } from './answer';
import { newId, schemaVersion } from './entry';
import type { LineEventIn } from '../engine/generated/shapes';
import { ModelServer, moods, type Mood } from './model_server';
import { batchSize, longestHold, Outbox, type Prepare, type Send } from './outbox';
import { Seal, type Sealed, type Sealing } from './sealed';
import { shelfOfThisDevice } from './shelf';
import { standingOf, type Exchange } from './standing';

const seal = await Seal.forNow();
let databases = 0;
const freshName = (): string => `outbox-${++databases}`;
const open = async (name: string, send: Send, prepare?: Prepare, now?: () => number): Promise<Outbox> => new Outbox(await shelfOfThisDevice(name), seal, send, prepare, now);
/** For a thousand schedules, which are not about sealing. */
const unsealed: Sealing = { close: async (value) => ({ iv: new Uint8Array(), data: value as ArrayBuffer }), open: async <T>({ data }: Sealed) => structuredClone(data) as T };

const event = (body: LineEventIn['body'] = { kind: 'noted', text: 'slept well' }): LineEventIn => ({
  id: newId(),
  line: newId(),
  occurred_at: '2026-11-25T08:00:00.000Z',
  recorded_at: '2026-11-25T08:00:01.000Z',
  author: 'A. Nurse',
  device: 'tablet 2',
  schema: schemaVersion,
  body,
});
const photographed: LineEventIn['body'] = { kind: 'photographed', hash: '', media_type: 'image/png', bytes: 0, note: '' };
const events = (count: number): LineEventIn[] => Array.from({ length: count }, () => event());
const ids = (list: { id: string }[]): string[] => list.map((one) => one.id);
const wrong = [{ path: '/body/text', found: '', expected: 'a text' }];
const named = (held: string[], refused: string[] = []): Reply => ({ kind: 'named', sequence: 1, held: new Set(held), written: new Set(held), refused: new Map(refused.map((id) => [id, wrong])), said: [] });
const takeAll: Send = async (sent) => named(ids(sent));
const nobody: Reply = { kind: 'none', retryAfter: null };

describe('Outbox', () => {
  it('keeps an entry over a reopened page, and shows nothing of it', async () => {
    const name = freshName();
    const first = await open(name, takeAll);
    const [one] = events(1);
    if (one === undefined) throw new Error();
    await first.add([one]);
    first.close();
    const shelf = await shelfOfThisDevice(name);
    const rows = await shelf.all();
    expect(JSON.stringify(rows) + new TextDecoder().decode(rows[0]?.sealed.data)).not.toMatch(/slept|Nurse|noted/);
    expect(ids((await new Outbox(shelf, seal, takeAll).census()).waiting)).toEqual([one.id]);
  });

  it('sends in the order of making, in batches, and marks what the server names', async () => {
    const sent: string[][] = [];
    const outbox = await open(freshName(), async (list) => {
      sent.push(ids(list));
      return named(ids(list));
    });
    const all = events(batchSize + 3);
    for (const one of all) await outbox.add([one]);
    expect(await outbox.flush()).toMatchObject({ settled: batchSize + 3, left: 0 });
    expect(sent.map((batch) => batch.length)).toEqual([batchSize, 3]);
    expect(sent.flat()).toEqual(ids(all));
    expect((await outbox.census()).kept).toHaveLength(batchSize + 3);
  });

  it('keeps everything when the server cannot be reached', async () => {
    let reachable = false;
    const outbox = await open(freshName(), async (list) => (reachable ? named(ids(list)) : { kind: 'none', retryAfter: 4_000 }));
    await outbox.add(events(1));
    expect(await outbox.flush()).toEqual({ settled: 0, left: 1, answered: false, wait: 4_000 });
    reachable = true;
    expect(await outbox.flush()).toMatchObject({ settled: 1, left: 0, answered: true });
  });

  // Two offline checks were lost so: the server failed, named nobody, and the page took both for kept.
  it('settles nobody whom an answer does not name', async () => {
    for (const reply of [named([]), named([newId()]), { kind: 'unclear' } as const, nobody]) {
      const outbox = await open(freshName(), async () => reply);
      await outbox.add(events(2));
      expect(await outbox.flush()).toMatchObject({ settled: 0, left: 2 });
    }
    const both = await open(freshName(), async (list) => named(ids(list), ids(list)));
    await both.add(events(1));
    expect(await both.flush()).toMatchObject({ settled: 0, left: 1 });
  });

  it('keeps a refused entry with its reasons, and does not send it again', async () => {
    let sendings = 0;
    const outbox = await open(freshName(), async (list) => {
      sendings++;
      return named([], ids(list));
    });
    const [one] = events(1);
    if (one === undefined) throw new Error();
    await outbox.add([one]);
    await outbox.flush();
    await outbox.flush();
    expect(sendings).toBe(1);
    expect((await outbox.census()).refused).toMatchObject([{ id: one.id, errors: wrong }]);
    await outbox.prune(Date.now() + 1_000);
    expect((await outbox.census()).refused).toHaveLength(1);
    await outbox.discardRefused(one.id);
    expect((await outbox.census()).refused).toHaveLength(0);
  });

  it('one that the server chokes on holds up none of the others, and its tries are bounded', async () => {
    for (const choke of ['unclear', 'none'] as const)
      for (const place of [0, 37, 119]) {
        const all = events(120);
        const poison = all[place]?.id;
        let requests = 0;
        const outbox = await open(freshName(), async (list) => {
          requests++;
          return list.some(({ id }) => id === poison) ? (choke === 'unclear' ? { kind: 'unclear' } : nobody) : named(ids(list));
        });
        await outbox.add(all);
        for (let run = 0; run < 14; run++) await outbox.flush();
        expect([choke, place, ids((await outbox.census()).waiting)]).toEqual([choke, place, [poison]]);
        expect(requests).toBeLessThan(80);
      }
  });

  it('a picture that does not get through holds up none of the others; one that is refused says why', async () => {
    const photos = [event(photographed), event(photographed), event(photographed)] as const;
    const prepare: Prepare = async ({ id }) => (id === photos[0].id ? 'later' : id === photos[2].id ? wrong : 'ready');
    const outbox = await open(freshName(), takeAll, prepare);
    await outbox.add([...photos, event()]);
    await outbox.flush();
    const { waiting, refused, kept } = await outbox.census();
    expect([ids(waiting), ids(refused), kept.length]).toEqual([[photos[0].id], [photos[2].id], 2]);
  });

  it('leaves to a form what the form is sending, for as long as a form lives', async () => {
    let now = 1_000;
    const outbox = await open(freshName(), takeAll, undefined, () => now);
    const [one] = events(1);
    if (one === undefined) throw new Error();
    await outbox.add([one], true);
    expect(await outbox.flush()).toMatchObject({ settled: 0, left: 1 });
    now += longestHold + 1;
    expect(await outbox.flush()).toMatchObject({ settled: 1, left: 0 });
    now = 500; // and a clock that was set back holds nothing up
    const [two] = events(1);
    if (two === undefined) throw new Error();
    now = 9e9;
    await outbox.add([two], true);
    now = 500;
    expect(await outbox.flush()).toMatchObject({ settled: 1, left: 0 });
  });

  it('gives back to the form what was refused there, but never what the server has', async () => {
    const outbox = await open(freshName(), takeAll);
    const [one, two] = events(2);
    if (one === undefined || two === undefined) throw new Error();
    await outbox.add([one, two], true);
    await outbox.settle([one], named([one.id]) as Extract<Reply, { kind: 'named' }>);
    await outbox.withdraw([one, two]);
    const { kept, waiting } = await outbox.census();
    expect([ids(kept), ids(waiting)]).toEqual([[one.id], []]);
  });

  it('offers again what a record that was set back has lost', async () => {
    const server = new ModelServer();
    const outbox = await open(freshName(), (list) => server.send(list, 'honest'));
    await outbox.add(events(5));
    await outbox.flush();
    server.setBack(2);
    expect(await outbox.offerAgain()).toBe(5);
    await outbox.flush();
    expect(server.record.size).toBe(5);
  });

  it('prunes only what the server has had for long enough', async () => {
    let now = 1_000;
    const outbox = await open(freshName(), takeAll, undefined, () => now);
    await outbox.add(events(1));
    await outbox.flush();
    now = 9_000;
    await outbox.add(events(1));
    await outbox.prune(5_000);
    const { waiting, kept } = await outbox.census();
    expect([waiting.length, kept.length]).toEqual([1, 0]);
  });

  it('an entry that can no longer be opened is counted, and holds up none of the others', async () => {
    const name = freshName();
    const foreign = new Outbox(await shelfOfThisDevice(name), await Seal.forNow(), takeAll);
    await foreign.add(events(1));
    const outbox = await open(name, takeAll);
    await outbox.add(events(1));
    expect(await outbox.flush()).toMatchObject({ settled: 1 });
    expect((await outbox.census()).unreadable).toBe(1);
    expect(standingOf({ waiting: 0, sending: 0, refused: 0, unreadable: 1 }, 'good')).toBe('unreadable');
  });

  it('tells its watchers', async () => {
    let told = 0;
    const outbox = await open(freshName(), takeAll);
    const stop = outbox.watch(() => told++);
    await outbox.add(events(1));
    expect(told).toBe(1);
    stop();
    await outbox.add(events(1));
    expect(told).toBe(1);
  });
});

describe('no entry is lost, whatever the server does', () => {
  type Step = { do: 'add'; count: number; fate: 'plain' | 'refused' | 'poison' } | { do: 'send'; mood: Mood } | { do: 'reopen' } | { do: 'set_back'; by: number };
  const step: fc.Arbitrary<Step> = fc.oneof(
    { weight: 3, arbitrary: fc.record({ do: fc.constant('add' as const), count: fc.integer({ min: 1, max: 4 }), fate: fc.constantFrom('plain' as const, 'plain' as const, 'refused' as const, 'poison' as const) }) },
    { weight: 5, arbitrary: fc.record({ do: fc.constant('send' as const), mood: fc.constantFrom(...moods) }) },
    { weight: 1, arbitrary: fc.constant({ do: 'reopen' as const }) },
    { weight: 1, arbitrary: fc.record({ do: fc.constant('set_back' as const), by: fc.integer({ min: 1, max: 3 }) }) },
  );

  it('after any schedule it is in the record, or seen to wait or to be refused', { timeout: 60_000 }, async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(step, { maxLength: 10 }), async (schedule) => {
        const server = new ModelServer();
        const name = freshName();
        let mood: Mood = 'honest';
        let exchange: Exchange = 'none';
        const added: string[] = [];
        const send: Send = (list) => server.send(list, mood);
        const openAgain = async (): Promise<Outbox> => new Outbox(await shelfOfThisDevice(name), unsealed, send);
        let outbox = await openAgain();
        for (const one of schedule) {
          if (one.do === 'add') {
            const made = events(one.count);
            if (one.fate !== 'plain') made.forEach(({ id }) => server[one.fate === 'refused' ? 'refuses' : 'poison'].add(id));
            await outbox.add(made);
            added.push(...ids(made));
          } else if (one.do === 'send') {
            mood = one.mood;
            const { answered, settled } = await outbox.flush();
            if (!answered || settled > 0) exchange = answered ? 'good' : 'failed';
          } else if (one.do === 'reopen') {
            outbox.close();
            outbox = await openAgain();
            exchange = 'none';
          } else {
            server.setBack(Math.max(0, server.record.size - one.by));
            await outbox.offerAgain(); // as the page does when it hears the sequence
          }
          const { waiting, sending, refused, unreadable } = await outbox.census();
          const seen = new Set(ids([...waiting, ...refused]));
          const lost = added.filter((id) => !server.record.has(id) && !seen.has(id));
          expect(lost).toEqual([]);
          expect(refused.filter(({ id }) => !server.refuses.has(id))).toEqual([]);
          if (standingOf({ waiting: waiting.length, sending: sending.length, refused: refused.length, unreadable }, exchange) === 'all_there') expect(added.filter((id) => !server.record.has(id))).toEqual([]);
        }
        mood = 'honest';
        const hopeful = async (): Promise<string[]> => ids((await outbox.census()).waiting).filter((id) => !server.poison.has(id));
        for (let run = 0; run < 6 && (await hopeful()).length > 0; run++) await outbox.flush();
        expect(await hopeful()).toEqual([]);
        outbox.close();
      }),
      { numRuns: 1_000 },
    );
  });
});
