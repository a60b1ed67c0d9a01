import { beforeEach, describe, expect, it, vi } from 'vitest';

const hour = 3_600_000;
let clock: typeof import('./clock');
let kept: Map<string, string>;

beforeEach(async () => {
  kept = new Map();
  vi.stubGlobal('localStorage', {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
    removeItem: (key: string) => void kept.delete(key),
  });
  vi.resetModules();
  clock = await import('./clock');
});

describe('the clock', () => {
  it('is the device’s own until the server says otherwise', () => {
    expect(clock.clockAhead()).toBe(0);
    expect(Math.abs(clock.moment() - Date.now())).toBeLessThan(1_000);
  });
  it('follows the server when the device is hours ahead, and remembers it without a network', async () => {
    const now = Date.now();
    clock.heardTime(now - 3 * hour, 200);
    expect(Math.abs(clock.clockAhead() - 3 * hour)).toBeLessThan(1_000);
    expect(Math.abs(clock.moment() - (Date.now() - 3 * hour))).toBeLessThan(1_000);
    vi.resetModules();
    expect(Math.abs((await import('./clock')).clockAhead() - 3 * hour)).toBeLessThan(1_000);
  });
  it('takes a slow network for a slow network', () => {
    const now = Date.now();
    clock.heardTime(now - 20_000, 40_000);
    expect(clock.clockAhead()).toBe(0);
  });
  it('does not jump for a little, and comes back when the device is set right', () => {
    const now = Date.now();
    clock.heardTime(now + hour, 0);
    clock.heardTime(now + hour + 5_000, 0);
    expect(Math.abs(clock.clockAhead() + hour)).toBeLessThan(1_000);
    clock.heardTime(now, 0);
    expect(clock.clockAhead()).toBe(0);
  });
  it('notices that somebody set it since', () => {
    expect(clock.wasSet()).toBe(false);
    clock.heardTime(Date.now(), 0);
    expect(clock.wasSet()).toBe(false);
    const later = Date.now() + hour;
    vi.spyOn(Date, 'now').mockReturnValue(later);
    expect(clock.wasSet()).toBe(true);
    vi.restoreAllMocks();
  });
  it('tells the server’s time to the second, also where the difference is too small to speak of', () => {
    const now = Date.now();
    expect(Math.abs(clock.serverMoment() - now)).toBeLessThan(1_000);
    clock.heardTime(now - 50_000, 2_000);
    expect(clock.clockAhead()).toBe(0);
    expect(Math.abs(clock.serverMoment() - (now - 49_000))).toBeLessThan(1_000);
  });
});
