import { describe, expect, it } from 'vitest';
import { readClock } from './step_clock';

const state = (rule: 'at_least' | 'at_most', limit: number, start: number | null, stop: number | null, now: number) =>
  readClock(rule, limit, start, stop, now).state;

describe('readClock', () => {
  it('waits until an "at least" limit is reached, to the millisecond', () => {
    expect(state('at_least', 30_000, null, null, 0)).toBe('idle');
    expect(state('at_least', 30_000, 1_000, null, 30_999)).toBe('waiting');
    expect(state('at_least', 30_000, 1_000, null, 31_000)).toBe('reached');
    expect(state('at_least', 30_000, 1_000, 20_000, 99_000)).toBe('stopped_short');
    expect(state('at_least', 30_000, 1_000, 31_000, 99_000)).toBe('stopped_good');
  });
  it('warns before an "at most" limit and says when it is over', () => {
    expect(state('at_most', 60_000, 0, null, 44_000)).toBe('running');
    expect(state('at_most', 60_000, 0, null, 45_000)).toBe('near');
    expect(state('at_most', 60_000, 0, null, 60_000)).toBe('near');
    expect(state('at_most', 60_000, 0, null, 60_001)).toBe('over');
    expect(state('at_most', 60_000, 0, 59_000, 99_000)).toBe('stopped_good');
    expect(state('at_most', 60_000, 0, 62_000, 99_000)).toBe('stopped_over');
  });
  it('resumes from its start after the page was closed', () => {
    expect(readClock('at_least', 120_000, 1_000_000, null, 1_090_000)).toEqual({
      state: 'waiting',
      elapsed: 90_000,
      rest: 30_000,
      share: 0.75,
    });
  });
  it('never runs backwards when the device clock was set back', () => {
    expect(readClock('at_most', 60_000, 10_000, null, 5_000)).toMatchObject({ elapsed: 0, state: 'running' });
  });
});
