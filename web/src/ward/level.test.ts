import { expect, test } from 'vitest';
import { levelOf } from './level';

test('a catheter that is not whole is an emergency, and so is a line that left unseen, whatever else is said of them', () => {
  for (const state of ['later', 'soon', 'due', 'overdue'] as const)
    for (const task of ['catheter_missing_alarm', 'left_unseen'] as const) expect(levelOf({ task, state, urgency: 0 })).toBe('alarm');
});

test('more urgency never makes it milder', () => {
  const rank = ['due', 'soon', 'now', 'late', 'danger', 'alarm'];
  let last = 0;
  for (let urgency = 0; urgency <= 1_000; urgency += 5) {
    const at = rank.indexOf(levelOf({ task: 'site_check', state: 'overdue', urgency }));
    expect(at).toBeGreaterThanOrEqual(last);
    last = at;
  }
  expect(levelOf({ task: 'site_check', state: 'overdue', urgency: 390 })).toBe('danger');
  expect(levelOf({ task: 'site_check', state: 'overdue', urgency: 380 })).toBe('late');
});
