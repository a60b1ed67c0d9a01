import { expect, test, vi } from 'vitest';

vi.mock('./ward.svelte', () => ({ ward: { library: { policy: { responses: { leak: { emergency: true }, phlebitis: {} } } } } }));
const { levelOf } = await import('./level');

const states = ['later', 'soon', 'due', 'overdue'] as const;
const item = { task: 'site_check' as const, state: 'overdue' as const, urgency: 0, cards: [] as string[] };

test('an emergency is filled, whatever else is said of it', () => {
  for (const state of states) {
    for (const task of ['catheter_missing_alarm', 'left_unseen'] as const) expect(levelOf({ ...item, task, state })).toBe('alarm');
    expect(levelOf({ ...item, task: 'response', state, urgency: 800, cards: ['phlebitis', 'leak'] })).toBe('alarm');
    expect(levelOf({ ...item, task: 'response', state, urgency: 800, cards: ['phlebitis'] })).toBe('danger');
  }
});

test('more urgency never makes it milder', () => {
  const rank = ['due', 'soon', 'now', 'late', 'danger', 'alarm'];
  let last = 0;
  for (let urgency = 0; urgency <= 1_000; urgency += 5) {
    const at = rank.indexOf(levelOf({ ...item, urgency }));
    expect(at).toBeGreaterThanOrEqual(last);
    last = at;
  }
  expect(levelOf({ ...item, urgency: 390 })).toBe('danger');
  expect(levelOf({ ...item, urgency: 380 })).toBe('late');
});
