// How the facts of one form are charted: they lie safely on this device before they are on their way, so that a page that is
// closed in the middle loses none of them; what the server finds wrong goes back to the form, which still holds it.
import type { FieldError } from '../engine/result';
import { fateOf, type Named, type Reply } from './answer';
import type { LineEventIn } from '../engine/generated/shapes';
import type { Outbox, Send } from './outbox';

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
