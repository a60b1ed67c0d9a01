import { describe, expect, it } from 'vitest';
import { ageOf, yearsOld } from './body';

const now = new Date(2026, 10, 25, 14, 5).getTime();

describe('the age of a patient', () => {
  it('counts birthdays, not days', () => {
    expect(yearsOld('2008-11-25', now)).toBe(18);
    expect(yearsOld('2008-11-26', now)).toBe(17);
    expect(yearsOld('2008-12-01', now)).toBe(17);
    expect(yearsOld('2026-11-20', now)).toBe(0);
    expect(yearsOld('1942-02-11', now)).toBe(84);
  });
  it('says child below 18 years, and never of somebody whose birth nobody knows', () => {
    expect(ageOf('2008-11-26', now)).toEqual({ child: true, unknown: false });
    expect(ageOf('2008-11-25', now)).toEqual({ child: false, unknown: false });
    expect(ageOf(undefined, now)).toEqual({ child: false, unknown: true });
    expect(ageOf('', now)).toEqual({ child: false, unknown: true });
  });
});
