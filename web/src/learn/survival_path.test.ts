import { expect, it } from 'vitest';
import { bandPath, stepPath } from './survival_path';

const points = [
  { days: 1, share: 0.8, low: 0.7, high: 0.9 },
  { days: 3, share: 0.5, low: 0.3, high: 0.6 },
  { days: 9, share: 0.1, low: 0, high: 0.2 },
];
const x = (days: number): number => days * 10;
const y = (share: number): number => 100 - share * 100;

it('steps down at each point and stops at the end of the axis', () => {
  expect(stepPath(points, 5, x, y)).toBe('M0 0H10V20H30V50H50');
});

it('closes the band along both edges', () => {
  expect(bandPath(points, 5, x, y)).toBe('M0 0H10V10H30V40H50V70H30V30H10V0Z');
});
