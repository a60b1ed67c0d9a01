// An order as it is typed, and as it is charted.
import type { DosingPurpose } from '../engine/generated/shapes';
import type { Charted } from './ward.svelte';

export interface TypedOrder {
  base: string;
  purpose: DosingPurpose | '';
  volume: string;
  over: string;
  rate: string;
  needed: string;
  prescriber: string;
  factor: string;
}
export const noOrder = (): TypedOrder => ({ base: '', purpose: '', volume: '', over: '', rate: '', needed: '', prescriber: '', factor: '' });

/** Nothing while no fluid is chosen. */
export function orderFact(order: TypedOrder): Charted[] {
  if (order.base === '') return [];
  const factor = order.factor.trim();
  return [
    {
      kind: 'ordered',
      order: {
        mixture: { base: order.base, volume: order.volume.trim(), additives: [] }, purpose: order.purpose === '' ? 'other' : order.purpose, prescriber: order.prescriber.trim(),
        ...(order.over.trim() === '' ? {} : { duration: order.over.trim() }),
        ...(order.rate.trim() === '' ? {} : { flow: order.rate.trim() }),
        ...(order.needed.trim() === '' ? {} : { therapy: order.needed.trim() }),
        ...(factor === '' ? {} : { drop_factor: /^\d+$/.test(factor) ? `${factor} {drop}/mL` : factor }),
      },
    },
  ];
}
