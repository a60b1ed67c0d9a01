// The parts of an arm that a nurse points at, as bands across the drawing; the arm's outline cuts them to shape.
import type { AccessRegion } from '../../engine/generated/shapes';

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

export const regionShapes: readonly (RegionShape & { aspect: Aspect })[] = [
  { region: 'upper_arm', aspect: 'palm', path: band(-20, 70), centre: { x: 100, y: 36 } },
  { region: 'antecubital', aspect: 'palm', path: band(70, 122), centre: { x: 100, y: 99 } },
  { region: 'forearm_upper', aspect: 'palm', path: band(122, 178), centre: { x: 100, y: 153 } },
  { region: 'forearm_middle', aspect: 'palm', path: band(178, 234), centre: { x: 100, y: 209 } },
  { region: 'forearm_lower', aspect: 'palm', path: band(234, 288), centre: { x: 100, y: 264 } },
  { region: 'wrist_palmar', aspect: 'palm', path: band(288, 334), centre: { x: 100, y: 313 } },
  { region: 'upper_arm', aspect: 'back', path: band(-20, 70), centre: { x: 100, y: 36 } },
  { region: 'forearm_upper', aspect: 'back', path: band(122, 178), centre: { x: 100, y: 153 } },
  { region: 'forearm_middle', aspect: 'back', path: band(178, 234), centre: { x: 100, y: 209 } },
  { region: 'forearm_lower', aspect: 'back', path: band(234, 288), centre: { x: 100, y: 264 } },
  { region: 'wrist_back', aspect: 'back', path: band(288, 332), centre: { x: 100, y: 312 } },
  { region: 'hand_back', aspect: 'back', path: band(332, 398), centre: { x: 100, y: 364 } },
];

/** The side a region is drawn on when the record does not say: the back for hand and back of wrist, else the palm side. */
export function usualAspect(region: AccessRegion): Aspect {
  return region === 'hand_back' || region === 'wrist_back' ? 'back' : 'palm';
}
