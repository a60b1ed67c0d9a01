// An order as it is typed, and as it is charted.
import type { DosingPurpose } from '../engine/generated/shapes';
import type { Charted } from '../store/ward.svelte';

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

/** A drop factor as it stands on a packet: a number alone is drops per mL. */
export const dropFactorOf = (typed: string): string => (/^\d+$/.test(typed.trim()) ? `${typed.trim()} {drop}/mL` : typed.trim());

/** Nothing while no fluid is chosen. */
export function orderFact(order: TypedOrder): Charted[] {
  if (order.base === '') return [];
  return [
    {
      kind: 'ordered',
      order: {
        mixture: { base: order.base, volume: order.volume.trim(), additives: [] }, purpose: order.purpose === '' ? 'other' : order.purpose, prescriber: order.prescriber.trim(),
        ...(order.over.trim() === '' ? {} : { duration: order.over.trim() }),
        ...(order.rate.trim() === '' ? {} : { flow: order.rate.trim() }),
        ...(order.needed.trim() === '' ? {} : { therapy: order.needed.trim() }),
        ...(order.factor.trim() === '' ? {} : { drop_factor: dropFactorOf(order.factor) }),
      },
    },
  ];
}
