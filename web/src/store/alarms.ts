// Which first responses are asked for and not answered: as the engine's due items have them, gravest first. They come from the
// record, so that a reload or another device finds the same.
import type { CareDueItem, LineState } from '../engine/generated/shapes';
import type { DueHere } from './board';

const asks = (item: CareDueItem): boolean => item.task === 'response' || item.task === 'catheter_missing_alarm';

export function cardsAsked(due: DueHere | undefined): string[] {
  const items = (due?.items ?? []).filter(asks);
  return [...new Set(items.flatMap((item) => (item.cards.length === 0 && item.task === 'catheter_missing_alarm' ? ['catheter_fragment'] : item.cards)))];
}

/** Since when what stands at a line is as bad as it is; 0 when nothing stands. */
export function standsSince(line: Pick<LineState, 'findings' | 'last_check' | 'removal'>): number {
  return Math.max(...line.findings.map((one) => Date.parse(one.as_now)), ...(line.findings.length > 0 ? [] : [line.last_check?.at, line.removal?.at].flatMap((at) => (at === undefined ? [] : [Date.parse(at)]))), 0);
}

/** So many acts were charted of the cards that are asked for, since they are. */
function actsAnswered(line: LineState, names: readonly string[]): number {
  const since = standsSince(line);
  const acts = line.responses
    .filter(({ at, response }) => Date.parse(at) >= since && names.includes(response.response))
    .flatMap(({ response }) => [...response.done, ...(response.acts ?? []), ...(response.called === '' ? [] : ['called'])].map((act) => `${response.response}/${act}`));
  return new Set(acts).size;
}

/** Of several emergencies the one of which least was answered comes first, then the one that stands longest. A line that is not known here is one of which nothing was answered. */
export function leastAnsweredFirst<Due extends DueHere>(open: readonly Due[], stateOf: (line: string) => LineState | undefined): Due[] {
  const known = new Map(open.map((due) => {
    const state = stateOf(due.line);
    return [due, state === undefined ? { answered: 0, since: 0 } : { answered: actsAnswered(state, cardsAsked(due)), since: standsSince(state) }];
  }));
  const of = (due: Due): { answered: number; since: number } => known.get(due) ?? { answered: 0, since: 0 };
  return open.toSorted((a, b) => of(a).answered - of(b).answered || of(a).since - of(b).since);
}
