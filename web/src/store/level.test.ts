import { expect, test } from 'vitest';
import { levelOf } from './level';

const states = ['later', 'soon', 'due', 'overdue'] as const;

test('what the engine calls an emergency is filled, and what can hurt is coloured, however late', () => {
  for (const state of states) {
    expect(levelOf({ danger: 'emergency', state })).toBe('alarm');
    expect(levelOf({ danger: 'can_hurt', state })).toBe('danger');
  }
});

test('later is never milder', () => {
  const rank = ['due', 'soon', 'now', 'late', 'danger', 'alarm'];
  for (const danger of ['none', 'can_hurt', 'emergency'] as const) {
    const ranks = states.map((state) => rank.indexOf(levelOf({ danger, state })));
    expect(ranks).toEqual(ranks.toSorted((a, b) => a - b));
  }
});
