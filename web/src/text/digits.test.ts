import { expect, it } from 'vitest';
import { asTheWardWrites, digits } from './digits';

it('parts thousands by a space that nobody takes for a decimal sign', () => {
  expect(digits(1234.56)).toBe('1\u202f234.6');
  expect(digits(999)).toBe('999');
});

it('never shows nothing for something', () => {
  expect(digits(0.04, 0)).toBe('0.04');
  expect(digits(-0.004)).toBe('-0.004');
  expect(digits(0)).toBe('0');
});

it('writes decimals as the ward does', () => {
  expect(asTheWardWrites('1\u202f234.6', 'comma')).toBe('1\u202f234,6');
  expect(asTheWardWrites('1\u202f234.6', 'point')).toBe('1\u202f234.6');
});
