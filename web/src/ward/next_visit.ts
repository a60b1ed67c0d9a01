// Where to go next, and so what the round leaves out.
import type { CareVisit } from '../engine/generated/shapes';
import { ward } from '../store/ward.svelte';

/** The bed of the emergency to go to first, else the first of the round. */
export function nextVisit(alarms: readonly string[]): CareVisit | undefined {
  const place = ward.state(alarms[0])?.place;
  return ward.visits.find((one) => place !== undefined && one.bed === place.bed && one.unit === place.unit) ?? ward.visits[0];
}
