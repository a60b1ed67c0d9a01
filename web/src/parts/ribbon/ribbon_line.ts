// One line's story in the form that its ribbon is drawn from. Moments are ms since 1970; levels and grades are the engine's.
import type { CareDueState } from '../../engine/generated/shapes';

export type MarkKind =
  | 'placed'
  | 'site_check'
  | 'flush'
  | 'dressing'
  | 'rate'
  | 'set'
  | 'bag'
  | 'problem'
  | 'note'
  | 'removed';

export interface RibbonMark {
  id: string;
  at: number;
  kind: MarkKind;
  /** Of a site check: the worst grade; null when the signs match no grade. */
  grade?: number | null;
  /** A word or two for the label of the large ribbon. */
  short: string;
  text: string;
  author?: string;
  corrected?: boolean;
}

export interface RibbonBag {
  /** What runs, in the engine's words. */
  text: string;
  /** Share of the bag left at each change, rising in time; the last is now or the end. */
  levels: { at: number; share: number }[];
  /** When the running bag will be empty, by the engine. */
  emptyAt: number | null;
  emptyText?: string;
}

export type RibbonTask = 'site_check' | 'flush' | 'dressing_change' | 'set_change' | 'bag_change' | 'drip_recount' | 'add_on_change' | 'tubing_trace' | 'need_review' | 'removal' | 'catheter_missing_alarm' | 'response' | 'after_check' | 'follow_up' | 'contradiction' | 'left_unseen';

/** How near a task is, and whether leaving it can hurt now: the drawing is coloured for danger alone. */
export type DueLevel = 'alarm' | 'danger' | 'late' | 'now' | 'soon' | 'due';

export interface RibbonDue {
  task: RibbonTask;
  at: number;
  state: CareDueState;
  level: DueLevel;
  title: string;
  why: string;
}

export interface RibbonLine {
  id: string;
  bed: string;
  /** "FAMILY, Given" */
  patient: string;
  /** Site and catheter: "20 G, left forearm, middle third". */
  site: string;
  /** The patient has another line here too: then the side stands out, and the rest follows it. */
  hasTwin?: boolean;
  side?: string;
  siteRest?: string;
  /** Who looks after it; empty: nobody. */
  nurse: string;
  placedAt: number | null;
  removedAt: number | null;
  marks: RibbonMark[];
  bags: RibbonBag[];
  /** Most urgent first, as the engine orders them. */
  due: RibbonDue[];
  /** It could not be worked out what falls due. */
  dueUnknown?: boolean;
}

/** Looking at the site and deciding stand above the band, handling the line below it. */
export function isAbove(what: MarkKind | RibbonTask): boolean {
  return ['site_check', 'problem', 'note', 'placed', 'removed', 'need_review', 'removal', 'catheter_missing_alarm', 'response', 'after_check', 'follow_up', 'contradiction', 'left_unseen'].includes(what);
}
