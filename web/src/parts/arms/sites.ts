// Places on the body where a line lies, lay, or may lie, and what speaks against a limb.
import type { AccessLimb, AccessRegion, AccessSide } from '../../engine/generated/shapes';
import { usualAspect, type Aspect, type RegionShape } from './regions';

export interface BodySite {
  side: AccessSide;
  region: AccessRegion;
  /** Of an arm only; absent: the side on which the region is usually drawn. */
  aspect?: Aspect | undefined;
}
export interface CurrentSite extends BodySite {
  /** "20 G, 1 d 4 h" */
  label: string;
}
export interface PastSite extends BodySite {
  /** "removed 3 d ago: phlebitis" */
  label: string;
  /** 0 just removed to 1 long ago: how far it has faded. */
  faded: number;
}
export interface LimbRestriction {
  side: AccessSide;
  /** Absent: the arm. */
  limb?: AccessLimb;
  /** In the engine's words: "fistula". */
  reason: string;
  severity: 'caution' | 'stop';
}
export interface SitesProps {
  chosen?: BodySite | null;
  current?: CurrentSite[];
  past?: PastSite[];
  restrictions?: LimbRestriction[];
  /** Only shown, not to choose on. */
  readonly?: boolean;
  onchoose?: ((site: BodySite) => void) | undefined;
}

export const sides: readonly AccessSide[] = ['right', 'left']; // as the patient faces you

export function limbOf(region: AccessRegion): AccessLimb {
  if (region === 'scalp') return 'head';
  return region === 'foot' || region === 'leg' ? 'leg' : 'arm';
}

/** Is this the shape on which the site is drawn? */
export const drawnOn = (site: BodySite, shape: RegionShape): boolean =>
  site.region === shape.region && (shape.aspect === undefined || (site.aspect ?? usualAspect(site.region)) === shape.aspect);

export const siteOn = (side: AccessSide, shape: RegionShape): BodySite => ({ side, region: shape.region, ...(shape.aspect ? { aspect: shape.aspect } : {}) });

export const restrictionsOf = (restrictions: readonly LimbRestriction[], side: AccessSide, limb: AccessLimb): LimbRestriction[] =>
  restrictions.filter((one) => one.side === side && (one.limb ?? 'arm') === limb);

export function worst(restrictions: readonly LimbRestriction[]): 'stop' | 'caution' | null {
  if (restrictions.length === 0) return null;
  return restrictions.some((one) => one.severity === 'stop') ? 'stop' : 'caution';
}
