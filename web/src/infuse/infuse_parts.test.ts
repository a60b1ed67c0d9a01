import { expect, test } from 'vitest';
import type { LineState } from '../engine/generated/shapes';
import { partOf, partsOf } from './infuse_parts';

type Infused = Pick<LineState, 'stage' | 'order' | 'running'>;
const order = {} as NonNullable<LineState['order']>;
const by = (delivery: 'gravity' | 'pump'): NonNullable<LineState['running']> => ({ delivery, drop_factor: {} }) as NonNullable<LineState['running']>;

test('only what runs can be changed, ended or counted', () => {
  const idle: Infused = { stage: 'dwelling', order };
  expect(partsOf(idle)).toEqual(['bag', 'flush']);
  expect(partsOf({ ...idle, running: by('pump') })).toEqual(['rate', 'bag', 'flush', 'end']);
  expect(partsOf({ ...idle, running: by('gravity') })).toContain('drip');
});

test('no bag is begun without an order: the order is asked for', () => {
  const line: Infused = { stage: 'dwelling', running: by('pump') };
  expect(partsOf(line)).not.toContain('bag');
  expect(partOf(line, 'bag')).toBe('order');
});

test('what may not be done is not opened', () => {
  expect(partOf({ stage: 'dwelling', order }, 'rate')).toBe('bag');
  expect(partOf({ stage: 'closed' }, undefined)).toBeUndefined();
});
