// What the patient's record says for the drawing of sites.
import type { AccessRestriction, GrowthPerson, LinePatient } from '../engine/generated/shapes';
import type { LimbRestriction } from '../parts/arms/sites';
import { text } from '../text/text';
import { dayHere } from '../time/clock';

/** Whose weight it is, for the engine's sums that know no patient. */
export const personOf = (patient: LinePatient, now: number): GrowthPerson => ({
  ...(patient.birth_date === undefined ? {} : { birth_date: patient.birth_date }),
  sex: patient.sex,
  today: dayHere(now),
});

/** "2019-03-07" was so many birthdays before the day of `now`; null for a date that is not known. */
export function yearsOld(birthDate: string | undefined, now: number): number | null {
  const born = /^(\d{4})-(\d{2})-(\d{2})/.exec(birthDate ?? '');
  if (born === null) return null;
  const today = new Date(now);
  const [, year, month, day] = born.map(Number) as [number, number, number, number];
  const before = today.getMonth() + 1 < month || (today.getMonth() + 1 === month && today.getDate() < day);
  return today.getFullYear() - year - (before ? 1 : 0);
}

/** Below 18 years; an unknown age is neither a child's nor a grown-up's. */
export function ageOf(birthDate: string | undefined, now: number): { child: boolean; unknown: boolean } {
  const years = yearsOld(birthDate, now);
  return { child: years !== null && years < 18, unknown: years === null };
}

export const shownRestrictions = (restrictions: readonly AccessRestriction[]): LimbRestriction[] =>
  restrictions.map((one) => ({
    side: one.side,
    limb: one.limb,
    reason: text.job.plain(one.reason) + (one.note === '' ? '' : ` (${one.note})`),
    severity: 'stop',
  }));
