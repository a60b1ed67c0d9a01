import { expect, it } from 'vitest';
import { inLongerLetters, longer } from './pseudo';

it('writes the page’s words in longer letters, and leaves what is put into them', () => {
  const plain = (word: string): string => word.replaceAll('_', ' ');
  const words = inLongerLetters({ name: 'Watch', days: ['Sun'], of: { beds: (n: number, name: string): string => `${n} beds of ${name}` }, plain });
  expect(words.name).toBe('Wáàtçh');
  expect(words.days).toEqual([longer('Sun')]);
  expect(words.of.beds(2, 'Koller')).toBe(`2 ${longer('beds of')} Koller`);
  expect(words.plain('gravity')).toBe(longer('gravity'));
});
