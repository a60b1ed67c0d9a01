// How near a task is, and whether leaving it can hurt now. Only what can hurt is coloured; only an emergency is filled.
import type { CareDueItem } from '../engine/generated/shapes';
import type { DueLevel } from '../parts/ribbon/ribbon_line';
import { ward } from './ward.svelte';

/**
 * From here on the engine's urgency of an overdue task is a look at a site where something that burns ran, or a record that says two
 * things (core/care/due.h); what was found and is not answered stands above that.
 */
const canHurt = 390;

type Task = Pick<CareDueItem, 'task' | 'state' | 'urgency' | 'cards'>;

/** A catheter that may not be whole, a line that left unseen, or an unanswered card that the policy calls an emergency. */
export const isEmergency = ({ task, cards }: Pick<Task, 'task' | 'cards'>): boolean =>
  task === 'catheter_missing_alarm' || task === 'left_unseen' || cards.some((one) => ward.library?.policy.responses[one]?.emergency === true);

export function levelOf(item: Task): DueLevel {
  if (isEmergency(item)) return 'alarm';
  if (item.urgency >= canHurt) return 'danger';
  if (item.state === 'overdue') return 'late';
  return item.state === 'due' ? 'now' : item.state === 'soon' ? 'soon' : 'due';
}
