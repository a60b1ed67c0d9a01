// Where a task is done.
import type { CareTask, LineState } from '../engine/generated/shapes';
import { address } from '../shell/route.svelte';

const ways: Partial<Record<CareTask, [screen: string, part?: string]>> = {
  site_check: ['watch', 'check'], flush: ['infuse'], bag_change: ['infuse'], drip_recount: ['infuse'],
  need_review: ['remove'], removal: ['remove'], catheter_missing_alarm: ['watch', 'response'], response: ['watch', 'response'], after_check: ['remove'], follow_up: ['watch', 'check'],
};

export function wayTo(task: CareTask, line: Pick<LineState, 'id' | 'stage'>): string | undefined {
  // Once the line is out, its site is looked at where it was taken out.
  const way = task === 'follow_up' && line.stage === 'removed' ? ways.after_check : ways[task];
  return way === undefined ? undefined : address(way[0], way[1] === undefined ? [line.id] : [line.id, way[1]]);
}
