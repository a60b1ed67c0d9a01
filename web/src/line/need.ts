// Why it must be a vein, and until when: what is answered on the page, and the fact that it makes.
import type { LineAskedFor, LineNeedGround } from '../engine/generated/shapes';
import { hour } from '../time/spans';
import type { Charted } from '../store/ward.svelte';

/** Within so many hours. */
export type NextUse = '4' | '8' | '12' | '24' | 'none';
export interface Need {
  ground?: LineNeedGround;
  nextUse?: NextUse;
  asked?: LineAskedFor;
  whatFor: string;
  inCaseBy: string;
  prescriber: string;
}
export const noNeed = (): Need => ({ whatFor: '', inCaseBy: '', prescriber: '' });
/** Answered, never supposed. */
export const isAnswered = (need: Need): boolean => need.ground !== undefined && need.nextUse !== undefined;

export const needFact = (need: Need, now: number): Charted => ({
  kind: 'need_reviewed', ground: need.ground ?? 'none', what_for: need.whatFor.trim(), in_case_by: need.ground === 'in_case' ? need.inCaseBy.trim() : '',
  asked: need.asked ?? 'nothing', prescriber: need.prescriber.trim(),
  ...(need.nextUse === undefined || need.nextUse === 'none' ? {} : { next_use: new Date(now + Number(need.nextUse) * hour).toISOString() }),
});
