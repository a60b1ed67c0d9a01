// Where a task is done.
import type { CareTask, LineState } from '../engine/generated/shapes';
import { address } from '../shell/route.svelte';

const ways: Partial<Record<CareTask, readonly [screen: string, ...parts: string[]]>> = {
  site_check: ['watch', 'check'], flush: ['infuse', 'flush'], bag_change: ['infuse', 'bag'], drip_recount: ['infuse', 'drip'],
  removal: ['remove'], catheter_missing_alarm: ['watch', 'response'], response: ['watch', 'response'], after_check: ['remove'], follow_up: ['watch', 'check'],
  left_unseen: ['watch', 'chart', 'left_with_line'],
};
/** What is charted by the form of the smaller facts, of a line that is in. */
const facts: Partial<Record<CareTask, string>> = {
  dressing_change: 'dressing_changed', set_change: 'set_changed', add_on_change: 'add_on_changed', tubing_trace: 'tubing_traced',
  need_review: 'need_reviewed',
};
export const isFact = (task: CareTask): boolean => task in facts;

export function wayTo(task: CareTask, line: Pick<LineState, 'id' | 'stage'>): string | undefined {
  const fact = facts[task];
  if (fact !== undefined) return line.stage === 'dwelling' ? address('watch', [line.id, 'chart', fact]) : undefined;
  // Once the line is out, its site is looked at where it was taken out.
  const way = task === 'follow_up' && line.stage === 'removed' ? ways.after_check : ways[task];
  return way === undefined ? undefined : address(way[0], [line.id, ...way.slice(1)]);
}
