// How the facts of one form are charted: they lie safely on this device before they are on their way, so that a page that is
// closed in the middle loses none of them; what the server finds wrong goes back to the form, which still holds it.
import { ask } from './ask';
import type { FieldError } from '../engine/result';
import { fateOf, type Named, type Reply } from './answer';
import type { LineEventIn } from '../engine/generated/shapes';
import type { Outbox, Send } from './outbox';
import type { Shelf } from './shelf';

/** What became of a form: it is in the record; it waits on this device; or what is to be put right, and nothing was charted. */
export type Outcome = 'there' | 'here' | FieldError[];

/** What was refused, when nothing of it was taken; else null. */
function refusalOf(events: LineEventIn[], reply: Named): FieldError[] | null {
  if (events.some(({ id }) => reply.held.has(id))) return null;
  const errors = events.flatMap(({ id }) => reply.refused.get(id) ?? []);
  return errors.length > 0 ? errors : null;
}

/** Charts facts together, or not at all. `nowhere`: what is said when neither the server nor this device can keep them. */
export async function chartTogether(outbox: Outbox, events: LineEventIn[], send: Send, nowhere: FieldError[]): Promise<Outcome> {
  const isHere = await outbox.add(events, true).then(() => true, () => false);
  const reply = await send(events).catch((): Reply => ({ kind: 'none', retryAfter: null }));
  const refusal = reply.kind === 'named' ? refusalOf(events, reply) : null;
  const isThere = reply.kind === 'named' && events.every(({ id }) => fateOf(id, reply) === 'held');
  if (!isHere) return refusal ?? (isThere ? 'there' : nowhere);
  // A store that fails from here on loses nothing: what still lies there is sent again, which is harmless.
  if (refusal !== null) await outbox.withdraw(events).catch(() => undefined);
  else if (reply.kind === 'named') await outbox.settle(events, reply).catch(() => undefined);
  if (refusal === null && !isThere) await outbox.letGo(events).catch(() => undefined);
  return refusal ?? (isThere ? 'there' : 'here');
}

/** What a form sent last: the ids of its facts, and their line. */
export interface Way {
  line: string;
  ids: string[];
}

/**
 * Whether what a form sent before its page was closed was charted: it lies on this device on its way or kept, or it is in the
 * record. `there`: the ids that the record holds of a line. Null when the record must be asked and cannot be.
 */
export async function wasCharted({ line, ids }: Way, here: Pick<Shelf, 'all'>, there: (line: string) => Promise<ReadonlySet<string>>): Promise<boolean | null> {
  const rows = (await here.all().catch(() => [])).filter((row) => ids.includes(row.id));
  if (rows.some(({ status }) => status !== 'refused')) return true;
  if (rows.length === ids.length) return false; // refused: what is wrong stands with what the server did not take
  const held = await there(line).catch(() => null);
  return held === null ? null : ids.some((id) => held.has(id));
}

/** The ids that the record holds of a line, from the server; none of a line that it does not know. */
export async function idsInRecord(line: string): Promise<ReadonlySet<string>> {
  const answer = await ask(`api/lines/${encodeURIComponent(line)}`);
  if (answer.status === 404) return new Set();
  if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
  const { events = [] } = (await answer.json()) as { events?: { id: string }[] };
  return new Set(events.map(({ id }) => id));
}
