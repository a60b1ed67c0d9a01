// How near a task is, and whether leaving it can hurt now, as the engine says. Only what can hurt is coloured; only an emergency is
// filled.
import type { CareDueItem } from '../engine/generated/shapes';
import type { DueLevel } from '../parts/ribbon/ribbon_line';

export const isEmergency = ({ danger }: Pick<CareDueItem, 'danger'>): boolean => danger === 'emergency';

export function levelOf({ danger, state }: Pick<CareDueItem, 'danger' | 'state'>): DueLevel {
  if (danger === 'emergency') return 'alarm';
  if (danger === 'can_hurt') return 'danger';
  if (state === 'overdue') return 'late';
  return state === 'due' ? 'now' : state === 'soon' ? 'soon' : 'due';
}
