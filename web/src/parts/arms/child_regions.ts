// The parts of leg and head that a nurse points at, cut to shape by the outline.
import { fontanelle, scalpEdge } from './child_outline';
import type { RegionShape } from './regions';

export const legShapes: readonly RegionShape[] = [
  { region: 'leg', path: 'M-10 27Q100 41 210 27V166Q100 180 -10 166Z', centre: { x: 96, y: 100 } },
  { region: 'foot', path: 'M-10 166Q100 180 210 166V328Q100 312 -10 292Z', centre: { x: 98, y: 248 } },
];

/** The soft spot is cut out of it: a tap there chooses nothing. */
export const headShapes: readonly RegionShape[] = [
  { region: 'scalp', path: scalpEdge + fontanelle, centre: { x: 88, y: 60 } },
];
