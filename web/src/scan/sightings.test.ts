import { expect, it } from 'vitest';
import type { Found } from './reader';
import { Sightings } from './sightings';

const a: Found = { text: ']d20109506000134352', gs1: true };
const striped: Found = { text: ']C10109506000134352', gs1: true };
const b: Found = { text: ']d20109506000134369', gs1: true };
const shelf: Found = { text: ']E09506000134352', gs1: false };

it('tells a code once while it is in sight, however long, and again when it comes back after 3 s', () => {
  const sightings = new Sightings();
  const told = [];
  for (let at = 0; at < 10_000; at += 200) told.push(sightings.news([a], at));
  expect(told.filter((one) => one !== null)).toEqual([a.text]);
  expect(sightings.news([a], 12_700)).toBeNull();
  expect(sightings.news([a], 15_800)).toBe(a.text);
});

it('tells the next pack at once, and only the first of several', () => {
  const sightings = new Sightings();
  expect(sightings.news([a, b], 0)).toBe(a.text);
  expect(sightings.news([a, b], 200)).toBeNull();
  expect(sightings.news([b, a], 400)).toBe(b.text);
  expect(sightings.news([], 600)).toBeNull();
});

it('takes the same content in another kind of code for the same code', () => {
  const sightings = new Sightings();
  expect(sightings.news([a], 0)).toBe(a.text);
  expect(sightings.news([striped], 200)).toBeNull();
});

it('tells a code that is no element string only when it stays, and not beside a pack that was just read', () => {
  const sightings = new Sightings();
  expect(sightings.news([shelf], 0)).toBeNull();
  expect(sightings.news([a], 400)).toBe(a.text);
  expect(sightings.news([shelf], 1_200)).toBeNull();
  expect(sightings.news([shelf], 2_000)).toBeNull();
  expect(sightings.news([shelf], 3_600)).toBe(shelf.text);
  expect(sightings.news([shelf], 3_800)).toBeNull();
});
