import 'fake-indexeddb/auto';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { chartTogether, wasCharted } from './charting';
import { newId, schemaVersion } from './entry';
import type { LineEventIn } from '../engine/generated/shapes';
import { ModelServer, moods } from './model_server';
import { Outbox } from './outbox';
import { Seal } from './sealed';
import { shelfOfThisDevice, type Shelf } from './shelf';

const seal = await Seal.forNow();
const nowhere = [{ path: '/device', found: '', expected: 'a place to keep it' }];
const facts = (count: number): LineEventIn[] =>
  Array.from({ length: count }, () => ({ id: newId(), line: 'l', occurred_at: '', recorded_at: '', author: 'A', device: 'page', schema: schemaVersion, body: { kind: 'noted', text: '' } }));
let databases = 0;
const shelf = (): Promise<Shelf> => shelfOfThisDevice(`charting-${++databases}`);
const ids = (list: { id: string }[]): string[] => list.map((one) => one.id);

it('is there, here, or back in the form: never two of them, never none', { timeout: 60_000 }, async () => {
  await fc.assert(
    fc.asyncProperty(fc.constantFrom(...moods), fc.integer({ min: 1, max: 3 }), fc.subarray([0, 1, 2]), async (mood, count, bad) => {
      const server = new ModelServer();
      const events = facts(count);
      bad.forEach((at) => events[at] && server.refuses.add(events[at].id));
      const outbox = new Outbox(await shelf(), seal, (list) => server.send(list, 'honest'));
      const outcome = await chartTogether(outbox, events, (list) => server.send(list, mood), nowhere);
      const { waiting, refused } = await outbox.census();
      const [here, there] = [ids([...waiting, ...refused]), ids(events).filter((id) => server.record.has(id))];
      if (outcome === 'there') expect([here, there]).toEqual([[], ids(events)]);
      else if (outcome === 'here') expect(ids(events).filter((id) => !here.includes(id) && !there.includes(id))).toEqual([]);
      else expect([here, outcome.length > 0]).toEqual([[], true]);
      outbox.close();
    }),
    { numRuns: 300 },
  );
});

it('a device that can keep nothing charts at the server, and says so when it cannot', async () => {
  const broken: Shelf = { ...(await shelf()), add: () => Promise.reject(new DOMException('full', 'QuotaExceededError')) };
  const server = new ModelServer();
  const outbox = new Outbox(broken, seal, (list) => server.send(list, 'honest'));
  expect(await chartTogether(outbox, facts(2), (list) => server.send(list, 'honest'), nowhere)).toBe('there');
  expect(await chartTogether(outbox, facts(2), (list) => server.send(list, 'away'), nowhere)).toEqual(nowhere);
});

it('what a page that is closed in the middle was sending is sent when it is opened again', async () => {
  const own = await shelf();
  const server = new ModelServer();
  let now = 1_000;
  const events = facts(2);
  const outbox = new Outbox(own, seal, (list) => server.send(list, 'honest'), undefined, () => now);
  void chartTogether(outbox, events, () => new Promise(() => undefined), nowhere); // never heard of again
  await new Promise((later) => setTimeout(later, 50));
  now += 60_000;
  await new Outbox(own, seal, (list) => server.send(list, 'honest'), undefined, () => now).flush();
  expect([...server.record.keys()]).toEqual(ids(events));
});

it('a form of a page that was closed in the middle finds out what became of it', async () => {
  const own = await shelf();
  const server = new ModelServer();
  const [charted, onItsWay, never, wrong, there] = [facts(2), facts(2), facts(2), facts(1), facts(2)];
  const outbox = new Outbox(own, seal, (list) => server.send(list, 'honest'));
  await chartTogether(outbox, charted, (list) => server.send(list, 'honest'), nowhere);
  void chartTogether(outbox, onItsWay, () => new Promise(() => undefined), nowhere);
  server.refuses.add(wrong[0]?.id ?? '');
  await outbox.add(wrong);
  await outbox.flush();
  await server.send(there, 'honest'); // by a device that could keep nothing
  const inRecord = async (): Promise<Set<string>> => new Set(server.record.keys());
  const unreached = (): Promise<never> => Promise.reject(new Error('no network'));
  const asked = (events: LineEventIn[], record: () => Promise<Set<string>>) => wasCharted({ line: 'l', ids: ids(events) }, own, record);
  expect(await Promise.all([charted, onItsWay, never, wrong, there].map((one) => asked(one, inRecord)))).toEqual([true, true, false, false, true]);
  expect(await Promise.all([charted, onItsWay, never, wrong, there].map((one) => asked(one, unreached)))).toEqual([true, true, null, false, null]);
});
