import { expect, test } from 'vitest';
import type { LineState } from '../engine/generated/shapes';
import { leastAnsweredFirst } from './alarms';
import type { DueHere } from './board';

const card = 'catheter_fragment';
const due = (line: string): DueHere => ({ line, items: [{ task: 'catheter_missing_alarm', cards: [card] }] }) as unknown as DueHere;
const state = (since: string, ...done: string[]): LineState =>
  ({ findings: [], removal: { at: since }, responses: done.map((act) => ({ at: '2026-11-25T10:30:00Z', author: '', response: { response: card, done: [act], called: '' } })) }) as unknown as LineState;

const order = (states: Record<string, LineState>): string => leastAnsweredFirst(Object.keys(states).map(due), (line) => states[line]).map(({ line }) => line).join('');

test('the emergency of which least was answered comes first, then the one that stands longest', () => {
  expect(order({ a: state('2026-11-25T09:00:00Z', 'x', 'y'), b: state('2026-11-25T10:00:00Z', 'x'), c: state('2026-11-25T10:10:00Z') })).toBe('cba');
  expect(order({ a: state('2026-11-25T10:00:00Z'), b: state('2026-11-25T09:00:00Z') })).toBe('ba');
});

test('the same act charted twice is one, and what was charted before it stood is none', () => {
  expect(order({ a: state('2026-11-25T10:00:00Z', 'x', 'x'), b: state('2026-11-25T10:00:00Z', 'x', 'y') })).toBe('ab');
  expect(order({ a: state('2026-11-25T10:00:00Z', 'x'), b: state('2026-11-25T10:45:00Z', 'x', 'y') })).toBe('ba');
});

test('of a line that is not known here nothing was answered', () => {
  const known = { a: state('2026-11-25T09:00:00Z', 'x') };
  expect(leastAnsweredFirst([due('a'), due('z')], (line) => (known as Record<string, LineState>)[line])[0]?.line).toBe('z');
});
