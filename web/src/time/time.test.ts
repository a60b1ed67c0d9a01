import { describe, expect, it } from 'vitest';
import { grid, makeAxis, place, zooms } from './axis';
import { calendarDate, clockTime, dateText, momentText, spanText, stopwatch } from './show';
import { day, hour, minute, second } from './spans';

const now = new Date(2026, 10, 25, 14, 5).getTime();

describe('moments', () => {
  it('writes them as a ward does', () => {
    expect(clockTime(new Date(2026, 10, 25, 0, 0).getTime())).toBe('00:00');
    expect(dateText(now)).toBe('25 Nov 2026');
    expect(calendarDate('1948-03-07')).toBe('7 Mar 1948');
    expect(momentText(now - hour, now)).toBe('13:05');
    expect(momentText(now - day, now)).toBe('24 Nov 14:05');
  });
  it.each([
    [0, '0 s'],
    [40 * second, '40 s'],
    [90 * second, '1 min 30 s'],
    [3 * hour, '3 h'],
    [3 * hour + 10 * minute, '3 h 10 min'],
    [2 * day + 30 * minute, '2 d'],
    [-5 * minute, '5 min'],
  ])('span of %i ms is %s', (span, text) => {
    expect(spanText(span)).toBe(text);
  });
  it('runs a clock', () => {
    expect([9_400, 65_000, 720_000, -5].map(stopwatch)).toEqual(['0:09', '1:05', '12:00', '0:00']);
  });
});

describe('axis', () => {
  it('has now two thirds along or later in every zoom, and keeps marks inside', () => {
    for (const zoom of zooms) {
      const axis = makeAxis(zoom, now);
      expect(place(axis, 300, now)).toBeGreaterThanOrEqual(200);
      expect(place(axis, 300, axis.from - day)).toBe(0);
      expect(place(axis, 300, axis.to + day)).toBe(300);
    }
  });
  it('rules full hours no closer than 44 px and marks midnight once a day', () => {
    for (const zoom of zooms)
      for (const width of [240, 390, 900]) {
        const axis = makeAxis(zoom, now);
        const lines = grid(axis, width);
        const xs = lines.map((line) => place(axis, width, line.at));
        expect(lines.length).toBeGreaterThan(1);
        if (width > 300) for (let i = 1; i < xs.length; i++) expect((xs[i] ?? 0) - (xs[i - 1] ?? 0)).toBeGreaterThan(43.7);
        for (const line of lines) expect(new Date(line.at).getMinutes()).toBe(0);
        const midnights = lines.filter((line) => line.midnight).length;
        expect(midnights).toBeLessThanOrEqual(Math.ceil((axis.to - axis.from) / day));
      }
  });
});
