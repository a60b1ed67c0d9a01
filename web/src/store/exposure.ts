// What the site is exposed to now, asked of the engine: the harm class of what runs, and since when it was last sound.
import type { LineState, SiteExposure } from '../engine/generated/shapes';
import { momentIso } from '../time/clock';
import { ward } from './ward.svelte';

export async function exposureOf(state: LineState): Promise<SiteExposure> {
  const answer = await ward.call('care.exposure', { state, now: momentIso() });
  return answer.ok ? answer.value : { harm: 'unknown', leak_family: 'none' };
}
