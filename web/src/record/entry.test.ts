import { v7 } from 'uuid';
import { expect, it } from 'vitest';
import { asCharted, risingIds } from './entry';

it('what is typed is charted in one way of writing, without white space around it', () => {
  const typed = { author: ' Zo\u0065\u0308 ', body: { list: ['\u0041\u030a', 7, null, true], inner: { note: 'two\nlines ' } } };
  expect(asCharted(typed)).toEqual({ author: 'Zo\u00eb', body: { list: ['\u00c5', 7, null, true], inner: { note: 'two\nlines' } } });
});

it('an id stands behind those that are known, with a clock that was set back and a page that was loaded anew', () => {
  let clock = Date.UTC(2026, 10, 25, 8);
  const page = () => risingIds(() => v7({ msecs: clock }));
  const before = page();
  const known = [before(), before(), before()];
  clock -= 5 * 3_600_000;
  const loadedAnew = page();
  const made = [...known, loadedAnew(known), loadedAnew(), loadedAnew([known[0] ?? '', 'no id', 'ffffffff-ffff-7fff-bfff-ffffffffffff'])];
  clock += 24 * 3_600_000;
  made.push(loadedAnew());
  expect([...new Set(made)].sort()).toEqual(made);
  expect(made.every((id) => /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/.test(id))).toBe(true);
  // Once the clock is past them, it counts again.
  expect(Number.parseInt((made.at(-1) ?? '').slice(0, 13).replace('-', ''), 16)).toBe(clock);
});
