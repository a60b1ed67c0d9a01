// The parts of an arm that a nurse points at, as bands across the drawing; the arm's outline cuts them to shape.
import arm from '../../../../data/drawing/arm.json';
import type { AccessRegion } from '../../engine/generated/shapes';
import { fieldWidth } from './outline';

export type Aspect = 'palm' | 'back';

export interface RegionShape {
  region: AccessRegion;
  /** Of an arm: the side from which it is seen. */
  aspect?: Aspect;
  path: string;
  /** Where a mark for this region stands. */
  centre: { x: number; y: number };
}

/** A band between two heights, its edges bowed as a limb's skin lines are. */
const band = (from: number, to: number): string =>
  `M-10 ${from - 3}Q100 ${from + 7} 210 ${from - 3}V${to - 3}Q100 ${to + 7} -10 ${to - 3}Z`;

export const regionShapes: readonly (RegionShape & { aspect: Aspect })[] = arm.regions.map(({ region, aspect, from, to, y }) => ({
  region: region as AccessRegion, aspect: aspect as Aspect, path: band(from, to), centre: { x: fieldWidth / 2, y },
}));

/** The side a region is drawn on when the record does not say: the back for hand and back of wrist, else the palm side. */
export function usualAspect(region: AccessRegion): Aspect {
  return region === 'hand_back' || region === 'wrist_back' ? 'back' : 'palm';
}
