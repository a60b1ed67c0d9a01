import { expect, it } from 'vitest';
import { standingOf, type Exchange } from './standing';

const none = { waiting: 0, sending: 0, refused: 0, unreadable: 0 };

it('"all there" is earned: looked through, nothing left, and the last word with the server was a good one', () => {
  expect(standingOf(none, 'good')).toBe('all_there');
  for (const exchange of ['none', 'failed'] satisfies Exchange[]) expect(standingOf(none, exchange)).toBe('offline');
  for (const what of ['waiting', 'sending', 'refused', 'unreadable'] as const) expect(standingOf({ ...none, [what]: 1 }, 'good')).toBe(what);
  expect(standingOf(null, 'good')).toBe('not_looked');
});

it('the worst comes first', () => {
  const all = { waiting: 1, sending: 1, refused: 1, unreadable: 1 };
  expect(standingOf(all, 'good')).toBe('refused');
  expect(standingOf({ ...all, refused: 0 }, 'good')).toBe('unreadable');
  expect(standingOf({ ...all, refused: 0, unreadable: 0 }, 'good')).toBe('waiting');
});
