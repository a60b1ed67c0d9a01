// The ward as the server gives it: in one answer, or page by page where there are many lines.
import type { CareLineDue, LineState, ServerBoard } from '../engine/generated/shapes';
import { answerOf, type Address } from '../record/api';
import { wordsFor } from '../text/text';

/** What falls due on a line; `unknown`: it could not be worked out here, which is not that nothing falls due. */
export type DueHere = CareLineDue & { unknown?: true };

const mostPages = 2_000;

/**
 * All pages, or none: a ward with a hole in it is never shown. It stood so when the earliest of them did. `inPages`: what falls
 * due and the round are those of the first page alone.
 */
export async function readBoard(ask: (address: string) => Promise<string>): Promise<ServerBoard & { inPages: boolean }> {
  const page = async (address: Address<'GET /api/ward'>): Promise<ServerBoard> => answerOf('GET /api/ward', await ask(address));
  const first = await page('api/ward');
  const pages = [first];
  for (let next = first.next; next !== undefined && next !== ''; next = pages.at(-1)?.next) {
    if (pages.length >= mostPages) throw new Error('the ward has no end');
    pages.push(await page(`api/ward?after=${encodeURIComponent(next)}`));
  }
  await wordsFor(pages);
  const trueAt = pages.map((one) => one.true_at).sort((a, b) => Date.parse(a) - Date.parse(b));
  return {
    ...first,
    true_at: trueAt[0] ?? first.true_at,
    sequence: Math.min(...pages.map((one) => one.sequence)),
    states: pages.flatMap((one) => one.states),
    not_folded: [...new Map(pages.flatMap((one) => one.not_folded ?? []).map((one) => [one.line, one])).values()],
    inPages: pages.length > 1,
  };
}

/**
 * A line of which it is not worked out what falls due stands on the board all the same, and says so; but for those of which the
 * engine says that a ward lists them no longer.
 */
export function withEveryLine(due: CareLineDue[], states: LineState[], offTheList: readonly string[] = []): DueHere[] {
  const known = new Set([...due.map((one) => one.line), ...offTheList]);
  const rest = states.filter((one) => one.stage !== 'closed' && !known.has(one.id));
  const bare = ({ id, nurse, place, patient }: LineState): DueHere => ({
    line: id, nurse, unit: place.unit, bed: place.bed, patient: `${patient.family}, ${patient.given}`, site: '', items: [], urgency: 0, findings: [], unknown: true,
  });
  return rest.length === 0 ? due : [...due, ...rest.map(bare)];
}

/** Nobody knows which ward it belongs to: it is shown on every one. */
export const isOfNoWard = ({ place }: Pick<LineState, 'place'>): boolean => place.unit.trim() === '';

/**
 * The wards that are known here, when none of them is the one that was typed: the name may be mistyped, and then nobody looks for
 * the line. Null where the name is known, or no ward is.
 */
export function otherWards(typed: string, states: Pick<LineState, 'place' | 'stage'>[], own: string): string[] | null {
  const open = states.filter(({ stage }) => stage !== 'closed').map(({ place }) => place.unit.trim());
  const known = [...new Set([own.trim(), ...open])].filter((one) => one !== '').sort((a, b) => a.localeCompare(b));
  return typed.trim() === '' || known.length === 0 || known.includes(typed.trim()) ? null : known;
}
