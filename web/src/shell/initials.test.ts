import { expect, test } from 'vitest';
import { initialsOf, initialsOfAll } from './initials';

test('a name is known by its first and its last word, its role is left out', () => {
  expect(initialsOf('M. Koller, nurse')).toBe('MK');
  expect(initialsOf('Ana María Öztürk')).toBe('AÖ');
  expect(initialsOf('Koller')).toBe('K');
  expect(initialsOf('')).toBe('');
});

test('letters that two would share are told apart by the next of the last word', () => {
  const short = initialsOfAll(['M. Koller, nurse', 'M. Klein, nurse', 'J. Ruan, nurse', 'J. Ruan, nurse']);
  expect([...short.values()]).toEqual(['MKo', 'MKl', 'JR']);
});
