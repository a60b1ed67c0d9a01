// How near a task is, and whether leaving it can hurt now. Only what can hurt is coloured; only an emergency is filled.
import type { CareDueItem } from '../engine/generated/shapes';
import type { DueLevel } from '../parts/ribbon/ribbon_line';

/**
 * From here on the engine's urgency of an overdue task is a look at a site where something that burns ran, or a record that says two
 * things (core/care/due.h); what was found and is not answered stands above that.
 */
const canHurt = 390;

export function levelOf({ task, state, urgency }: Pick<CareDueItem, 'task' | 'state' | 'urgency'>): DueLevel {
  if (task === 'catheter_missing_alarm' || task === 'left_unseen') return 'alarm';
  if (urgency >= canHurt) return 'danger';
  if (state === 'overdue') return 'late';
  return state === 'due' ? 'now' : state === 'soon' ? 'soon' : 'due';
}
