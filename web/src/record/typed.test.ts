import 'fake-indexeddb/auto';
import { expect, it, vi } from 'vitest';
import type { LineEventIn } from '../engine/generated/shapes';
import { newId, schemaVersion } from './entry';
import { Outbox } from './outbox';
import { Seal } from './sealed';
import { shelfOfThisDevice } from './shelf';
import { Snapshot } from './snapshot';

vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => undefined, removeItem: () => undefined });
const { session } = await import('../shell/session.svelte');
const { Typed } = await import('./typed.svelte');
session.person = 'M. Koller';
const seal = await Seal.ofThisDevice();
const typedHere = await Snapshot.open('dwell-typed', seal);

/** A form with one field, as a page opens it. */
async function form(work: string) {
  let note = '';
  const typed = new Typed<{ note: string }>(
    work,
    () => ({ note }),
    (kept) => ({ note } = kept),
  );
  await vi.waitUntil(() => typed.ready);
  return { typed, note };
}
const partOf = async (work: string): Promise<string> => {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(`${work}/${session.person ?? ''}`));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
};
const fact = (line: string): LineEventIn => ({
  id: newId(), line, occurred_at: '', recorded_at: '', author: 'M. Koller', device: 'page', schema: schemaVersion, body: { kind: 'noted', text: 'seen' },
});
const answers = (events: { id: string }[] | null): void =>
  void vi.stubGlobal('fetch', () => (events === null ? Promise.reject(new TypeError('no network')) : Promise.resolve(new Response(JSON.stringify({ events })))));

/** Something was typed, was on its way, and the page was closed in the middle of it. */
async function closedInTheMiddle(work: string, event: LineEventIn, isHere: boolean): Promise<void> {
  await (await form(work)).typed.goes({ line: event.line, ids: [event.id] });
  await typedHere.keep(await partOf(work), { note: 'slept well' });
  if (!isHere) return;
  const outbox = new Outbox(await shelfOfThisDevice('dwell-outbox'), seal, () => new Promise(() => undefined));
  await outbox.add([event], true);
  outbox.close();
}

it('what was not charted is brought back', async () => {
  answers([]);
  await closedInTheMiddle('care/a', fact('a'), false);
  const { typed, note } = await form('care/a');
  expect([note, typed.since !== null, typed.unsure, typed.charted]).toEqual(['slept well', true, false, null]);
});

it('what was charted is not, and that is said once', async () => {
  const [onItsWay, inRecord] = [fact('b'), fact('c')];
  answers([inRecord]);
  await closedInTheMiddle('care/b', onItsWay, true);
  await closedInTheMiddle('care/c', inRecord, false);
  for (const work of ['care/b', 'care/c']) {
    const { typed, note } = await form(work);
    expect([work, note, typed.since, typed.charted !== null]).toEqual([work, '', null, true]);
    await vi.waitUntil(async () => (await typedHere.read(await partOf(work))) === null);
    const again = await form(work);
    expect([again.note, again.typed.charted]).toEqual(['', null]);
  }
});

it('where nobody can be asked it is brought back, and said that nobody knows', async () => {
  answers(null);
  await closedInTheMiddle('care/d', fact('d'), false);
  const { typed, note } = await form('care/d');
  expect([note, typed.since !== null, typed.unsure]).toEqual(['slept well', true, true]);
});
