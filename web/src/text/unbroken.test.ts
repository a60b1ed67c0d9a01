import { expect, it } from 'vitest';
import { unbroken } from './unbroken';

it('ties numbers to their units, and nothing else', () => {
  expect(unbroken('left forearm, 20 G, 1\u202f000 mL at 0.9 %')).toBe('left forearm, 20\u00a0G, 1\u202f000\u00a0mL at 0.9\u00a0%');
});
