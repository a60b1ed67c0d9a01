import { beforeEach, describe, expect, it, vi } from 'vitest';

vi.stubGlobal('localStorage', { getItem: () => null, setItem: () => undefined });
const { isOldNews, readLooked, tolerated } = await import('./news.svelte');
const start = Date.parse('2026-11-25T10:00:00Z');
let news: typeof import('./news.svelte').news;
const later = (ms: number): void => {
  vi.setSystemTime(start + ms);
  news.tick();
};
const looked = (ms: number, sequence: number, reachable = true) => news.hears({ true_at: new Date(start + ms).toISOString(), sequence, reachable });

beforeEach(async () => {
  vi.useFakeTimers({ now: start, toFake: ['Date'] });
  vi.resetModules();
  ({ news } = await import('./news.svelte'));
  news.shows(start, 7);
});

describe('the age of what is shown', () => {
  it('is said from a minute on', () => {
    later(tolerated);
    expect(news.isOld).toBe(false);
    later(tolerated + 1);
    expect(news.isOld).toBe(true);
  });
  it('is that of the last look that found the record as it is shown', () => {
    later(50_000);
    expect(looked(45_000, 7)).toBe(false);
    later(100_000);
    expect([news.isOld, news.age]).toEqual([false, 55_000]);
    expect(looked(99_000, 8)).toBe(true); // somebody charted: what is shown grows old until it is fetched
    later(110_000);
    expect(news.isOld).toBe(true);
  });
  it('is said at once when the record or the server cannot be reached, and until both can', () => {
    looked(0, 7, false);
    expect(news.isOld).toBe(true);
    news.shows(start, 7); // the server answers all the same, from what it has
    expect(news.isOld).toBe(true);
    news.shows(start + 500, 7); // and has seen the record since
    expect(news.isOld).toBe(false);
    looked(600, 7, false);
    looked(1_000, 7);
    expect(news.isOld).toBe(false);
    news.lost();
    expect(news.isOld).toBe(true);
    looked(2_000, 7);
    expect(news.isOld).toBe(true);
    news.shows(start, 7);
    expect(news.isOld).toBe(false);
  });
  it('a moment that cannot be read is old', () => expect(isOldNews(Number.NaN, start, true)).toBe(true));
});

it('takes no half of a look', () => {
  const whole = { true_at: '2026-11-25T10:00:00Z', sequence: 7, reachable: true };
  expect(readLooked(JSON.stringify(whole))).toEqual(whole);
  for (const key of ['true_at', 'sequence', 'reachable'] as const) expect(readLooked(JSON.stringify({ ...whole, [key]: undefined }))).toBeNull();
  for (const other of ['', 'null', '{}', '{"true_at":"now","sequence":1,"reachable":true}']) expect(readLooked(other)).toBeNull();
});

it('what was said stands once, until it is put away', () => {
  const one = { id: 'a', path: '/body/patient', text: 'looks like another' };
  news.takeIn([one]);
  news.takeIn([{ ...one }, { ...one, id: 'b' }]);
  expect(news.said.map(({ id }) => id)).toEqual(['a', 'b']);
  news.putAway(one);
  expect(news.said.map(({ id }) => id)).toEqual(['b']);
});
