import { expect, test } from 'vitest';
import type { LineHistoryEntry } from '../engine/generated/shapes';
import { likeTogether } from './like_entries';

const entry = (id: string, over: Partial<Pick<LineHistoryEntry, 'author' | 'corrected' | 'text' | 'worst_grade'>> = {}): LineHistoryEntry =>
  Object.assign({ id, at: '2026-11-25T09:00:00Z', kind: 'site_checked', text: 'site checked: no signs', author: 'M. Koller', corrected: false, worst_grade: 0 }, over);
const ids = (groups: LineHistoryEntry[][]): string[] => groups.map((group) => group.map(({ id }) => id).join(''));

test('like entries stand together, and only those', () => {
  expect(ids(likeTogether([entry('a'), entry('b'), entry('c', { worst_grade: 1 }), entry('d'), entry('e', { author: 'S. Iqbal' })]))).toEqual(['ab', 'c', 'd', 'e']);
});
test('what was taken back, or says anything else, is never folded away', () => {
  expect(ids(likeTogether([entry('a'), entry('b', { corrected: true }), entry('c'), entry('d', { text: 'site checked: no signs; dressing not intact' })]))).toEqual(['a', 'b', 'c', 'd']);
  expect(likeTogether([])).toEqual([]);
});
