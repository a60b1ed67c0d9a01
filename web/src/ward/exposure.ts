// What the site is exposed to now, asked of the engine: the harm class of what runs, and since when it was last sound.
import { momentIso } from '../time/clock';
import type { Quantity, Region } from '../engine/shapes';
import type { State } from './shapes';
import { ward } from './ward.svelte';

export interface Exposure {
  harm: string;
  leak_family: string;
  flow?: Quantity;
  since_last_sound_check?: { value: number; unit: 's' };
  given_since_sound_check?: Quantity;
  region?: Region;
  age?: string;
}

export async function exposureOf(state: State): Promise<Exposure> {
  const answer = await ward.call<Exposure>('care.exposure', { state, now: momentIso() });
  return answer.ok ? answer.value : { harm: 'unknown', leak_family: 'none' };
}
