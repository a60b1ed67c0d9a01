// The ward as the server gives it: in one answer, or page by page where there are many lines.
import type { LineDue, State, Visit } from './shapes';

export interface Board {
  now: string;
  /** The moment at which the record was last looked at, and where it stood. */
  true_at: string;
  sequence: number;
  policy: string;
  proof?: string;
  states: State[];
  due: LineDue[];
  visits: Visit[];
  /** There are more lines: ask again after this one. */
  next?: string;
  /** Lines that the server could not work out, and why: they stand in none of the lists. */
  not_folded?: NotFolded[];
}
export interface NotFolded {
  line: string;
  reason: string;
}

const mostPages = 2_000;

/**
 * All pages, or none: a ward with a hole in it is never shown. It stood so when the earliest of them did. `inPages`: what falls
 * due and the round are those of the first page alone.
 */
export async function readBoard(ask: (address: string) => Promise<string>): Promise<Board & { inPages: boolean }> {
  const page = async (address: string): Promise<Board> => JSON.parse(await ask(address)) as Board;
  const first = await page('api/ward');
  const pages = [first];
  for (let next = first.next; next !== undefined && next !== ''; next = pages.at(-1)?.next) {
    if (pages.length >= mostPages) throw new Error('the ward has no end');
    pages.push(await page(`api/ward?after=${encodeURIComponent(next)}`));
  }
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
export function withEveryLine(due: LineDue[], states: State[], offTheList: readonly string[] = []): LineDue[] {
  const known = new Set([...due.map((one) => one.line), ...offTheList]);
  const rest = states.filter((one) => one.stage !== 'closed' && !known.has(one.id));
  const bare = ({ id, nurse, place, patient }: State): LineDue => ({
    line: id, nurse, bed: place.bed, patient: `${patient.family}, ${patient.given}`, site: '', items: [], urgency: 0, findings: [], unknown: true,
  });
  return rest.length === 0 ? due : [...due, ...rest.map(bare)];
}

/** Nobody knows which ward it belongs to: it is shown on every one. */
export const isOfNoWard = ({ place }: Pick<State, 'place'>): boolean => place.unit.trim() === '';
