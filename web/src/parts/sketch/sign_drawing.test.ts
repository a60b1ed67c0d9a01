import { expect, it } from 'vitest';
import { steps } from '../../text/steps_en';
import { drawings, swellingOf } from './sign_drawing';

it('draws every sign that can be ticked, and no other', () => {
  expect(Object.keys(drawings).sort()).toEqual(Object.keys(steps.signs).sort());
});
it('gives each sign a drawing of its own', () => {
  const looks = Object.values(drawings).map((layers) => JSON.stringify(layers));
  expect(new Set(looks).size).toBe(looks.length);
});
it('draws paths that a browser reads', () => {
  for (const { path } of Object.values(drawings).flat()) expect(path).toMatch(/^M[-\d.]+[ -][-\d.]+[A-Za-z\d .,-]+$/);
});
it('lets a wider swelling rise further, and keeps it on the arm', () => {
  const rise = (centimetres: number): number => Number(/C[\d.]+ (-?[\d.]+)/.exec(swellingOf(centimetres)[0]?.path ?? '')?.[1]);
  expect(rise(15)).toBeLessThan(rise(2.5));
  expect(rise(60)).toBe(rise(30));
});
