// What stands at a site from before, and the worst of several grades: what the record says, in one line.
import { steps as words } from '../text/steps';
import { momentText } from '../time/show';
import type { LineFoundMark, LineGradeGiven, LineState } from '../engine/generated/shapes';
import { ward } from '../store/ward.svelte';

/** Of what was found at a look and stands: the last, in words; the engine ends what has had its time to heal. */
export function foundBefore(line: Pick<LineState, 'findings'>): { says: string } | null {
  const found = line.findings.filter((one) => one.signs.present.length > 0 || one.grades.length > 0).at(-1);
  if (found === undefined) return null;
  return { says: `${momentText(Date.parse(found.at), ward.now)}: ${signWords(found)}` };
}

export function signWords({ signs }: Pick<LineFoundMark, 'signs'>): string {
  const pain = typeof signs.pain_score === 'number' && signs.pain_score > 0 ? [words.painOf(signs.pain_score)] : [];
  const seen = signs.present.filter((one) => one !== 'pain' || pain.length === 0).map((one) => words.signs[one].toLocaleLowerCase());
  return [...pain, ...seen].join(', ');
}

/** The worst, by its own scale; no match counts as worse than none and less than any that asks for an act. */
export function worstOf(grades: readonly LineGradeGiven[]): { grade: number | null; scale: string } | null {
  let worst: { grade: number | null; scale: string } | null = null;
  for (const one of grades) {
    if (one.grade === undefined && !one.unmatched) continue;
    const grade = one.grade ?? null;
    if (worst === null || rank(grade) > rank(worst.grade)) worst = { grade, scale: one.scale };
  }
  return worst;
}
const rank = (grade: number | null): number => (grade === null ? 0.5 : grade);
