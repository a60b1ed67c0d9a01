import { describe, expect, it } from 'vitest';
import { makeAxis } from '../../time/axis';
import { hour } from '../../time/spans';
import { bagPath, bodyPath, clipLevels, forecastPath, latePaths, layLabels, signPaths, type Band } from './geometry';
import type { RibbonLine } from './ribbon_line';
import { symbolPath, symbols } from './symbols';

const compactBand: Band = { tall: 48, top: 18, height: 16, above: 9, below: 41.5, r: 5, wait: 3 };
const now = 1_800_000_000_000;
const axis = makeAxis('12h', now); // 8 h back, 4 h ahead; 1,200 wide is 100 an hour
const line: RibbonLine = {
  id: 'l', bed: '4', patient: 'ALDER, Ines', site: 'left forearm', nurse: '', placedAt: now - 4 * hour, removedAt: null,
  marks: [
    { id: 'a', at: now - 3 * hour, kind: 'site_check', grade: 0, short: '', text: '' },
    { id: 'b', at: now - 2 * hour, kind: 'site_check', grade: null, short: '', text: '' },
    { id: 'c', at: now - 2 * hour, kind: 'flush', short: '', text: '' },
    { id: 'd', at: now - 1 * hour, kind: 'flush', short: '', text: '', corrected: true },
    { id: 'e', at: now - 20 * hour, kind: 'dressing', short: '', text: '' },
  ],
  bags: [],
  due: [
    { task: 'flush', at: now - 30 * hour, state: 'overdue', level: 'late', title: '', why: '' },
    { task: 'site_check', at: now + hour, state: 'soon', level: 'soon', title: '', why: '' },
    { task: 'set_change', at: now + 40 * hour, state: 'later', level: 'due', title: '', why: '' },
  ],
};

describe('clipLevels', () => {
  const levels = [{ at: 0, share: 1 }, { at: 10, share: 0.5 }, { at: 20, share: 0 }];
  it('cuts at both ends in straight lines', () => {
    expect(clipLevels(levels, 5, 15)).toEqual([{ at: 5, share: 0.75 }, { at: 10, share: 0.5 }, { at: 15, share: 0.25 }]);
  });
  it('spans a window that lies between two changes', () => {
    expect(clipLevels(levels, 2, 4)).toEqual([{ at: 2, share: 0.9 }, { at: 4, share: 0.8 }]);
  });
  it('is empty outside', () => {
    expect(clipLevels(levels, 30, 40)).toEqual([]);
  });
});

describe('ribbon', () => {
  it('begins at placement and ends now; torn when it began before the axis', () => {
    expect(bodyPath(line, axis, 1200, compactBand)?.path).toBe('M400 18H800V34L400 34L400 18Z');
    expect(bodyPath({ ...line, placedAt: now - 90 * hour }, axis, 1200, compactBand)?.path).toContain('L4 30');
    expect(bodyPath({ ...line, placedAt: null }, axis, 1200, compactBand)).toBeNull();
  });
  it('notches each whole day in place', () => {
    const old = bodyPath({ ...line, placedAt: now - 50 * hour }, axis, 1200, compactBand);
    expect(old?.notches).toBe('M600 18v5.3');
  });
  it('drains the bag to now and forecasts the rest', () => {
    const bag = { text: '', levels: [{ at: now - 2 * hour, share: 1 }, { at: now, share: 0.5 }], emptyAt: now + 2 * hour };
    expect(bagPath(bag, axis, 1200, compactBand)).toBe('M600 34L600 18L800 26L800 34Z');
    expect(forecastPath(bag, axis, 1200, compactBand)).toBe('M800 26L1000 34');
  });
  it('shows unmatched signs as such, hides corrected marks, and keeps overdue tasks on the axis', () => {
    const signs = signPaths(line, axis, 1200, compactBand);
    expect(signs.map((sign) => sign.name)).toEqual(['sound', 'unmatched', 'flush', 'soon', 'late']);
    const oneFlush = symbolPath('flush', 600, compactBand.below, compactBand.r);
    expect(signs.find((sign) => sign.name === 'flush')?.path).toBe(oneFlush);
  });
  it('draws how late a task is, and what can hurt apart from what is only late', () => {
    expect(latePaths(line, axis, 1200, compactBand)).toEqual([{ danger: false, path: 'M0 35H800v3H0Z' }]);
    expect(latePaths({ ...line, due: [] }, axis, 1200, compactBand)).toEqual([]);
    const check: RibbonLine['due'][number] = { task: 'site_check', at: now - hour, state: 'overdue', level: 'danger', title: '', why: '' };
    expect(latePaths({ ...line, due: [check] }, axis, 1200, compactBand)).toEqual([{ danger: true, path: 'M700 12.6H800v4.8H700Z' }]);
  });
  it('joins sound looks that would touch, and leaves a gap where nobody looked', () => {
    const looks = [3, 2.95, 2.9, 1].map((ago, at) => ({ id: String(at), at: now - ago * hour, kind: 'site_check' as const, grade: 0, short: '', text: '' }));
    const sound = signPaths({ ...line, marks: looks, due: [] }, axis, 1200, compactBand)[0]?.path ?? '';
    expect(sound.match(/M/g)?.length).toBe(2);
    expect(sound).toContain('M500 5.6H510');
  });
  it('has a different shape for every symbol', () => {
    expect(new Set(symbols.map((name) => symbolPath(name, 50, 50, 6))).size).toBe(symbols.length);
  });
});

describe('layLabels', () => {
  it('never lets two labels of a row overlap, and drops what has no room', () => {
    const labels = Array.from({ length: 6 }, (_, i) => ({ id: String(i), x: 100 + i * 3, text: 'Site grade 0' }));
    const placed = layLabels(labels, 3, 800);
    expect(placed.map((label) => label.row)).toEqual([0, 1, 2, -1, -1, -1]);
  });
  it('keeps labels inside the drawing', () => {
    expect(layLabels([{ id: 'a', x: 799, text: 'Dressing' }], 1, 800)[0]?.left).toBeLessThan(740);
  });
});
