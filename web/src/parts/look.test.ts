import { describe, expect, it } from 'vitest';
import { lookOf, noLook, painUnsaid, signsOf } from './look';

describe('a look', () => {
  it('is none while nothing was said', () => expect(signsOf(noLook())).toEqual({ assessed: false, present: [] }));
  it('never turns into pain 0 what was not told', () => {
    for (const pain of ['cannot_say', 'not_asked'] as const) expect(signsOf({ ...noLook(), pain })).toEqual({ assessed: true, present: [] });
    expect(signsOf({ ...noLook(), pain: 0 })).toEqual({ assessed: true, present: [], pain_score: 0 });
  });
  it('says why there is no figure for pain, and only then', () => {
    expect(painUnsaid(noLook())).toEqual({});
    expect(painUnsaid({ ...noLook(), pain: 0 })).toEqual({});
    for (const pain of ['cannot_say', 'not_asked'] as const) expect(painUnsaid({ ...noLook(), pain })).toEqual({ pain_unsaid: pain });
  });
  it('said to be as it was charted says what was charted, and no more', () => {
    const charted = { assessed: true, present: ['redness' as const], pain_score: 4, swelling_extent: { value: 0.03, unit: 'm', text: '3 cm' } as never };
    expect(signsOf(lookOf(charted))).toEqual({ assessed: true, present: ['redness'], pain_score: 4 });
    expect(signsOf(lookOf({ assessed: true, present: [] }))).toEqual({ assessed: true, present: [] });
  });
  it('gives a measure with its sign alone', () => {
    const measured = { ...noLook(), swelling: '3 cm', cord: '2 cm' };
    expect(signsOf({ ...measured, present: ['swelling'] })).toEqual({ assessed: true, present: ['swelling'], swelling_extent: '3 cm' });
  });
});
