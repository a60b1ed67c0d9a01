// A line's state and what falls due on it, in the form that its ribbon is drawn from.
import type { MarkKind, RibbonBag, RibbonLine, RibbonMark, RibbonTask } from '../parts/ribbon/ribbon_line';
import { say, shown, text } from '../text/text';
import type { LineHistoryEntry, LineState, Quantity } from '../engine/generated/shapes';
import type { DueHere } from '../store/board';
import { isOfNoWard } from '../store/board';
import { levelOf } from '../store/level';
import { fluidTitle } from '../store/titles';

const kinds: Record<string, MarkKind> = {
  placed: 'placed', site_checked: 'site_check', flushed: 'flush', dressing_changed: 'dressing', rate_changed: 'rate',
  set_changed: 'set', infusion_started: 'bag', infusion_ended: 'bag', responded: 'problem', attempted: 'problem',
  removed: 'removed', after_checked: 'site_check',
};

const amount = (q: Quantity): number => q.value;

function bagOf(state: LineState, now: number, emptyAt: number | null): RibbonBag[] {
  const running = state.running;
  if (running === undefined) return [];
  const total = amount(running.total);
  const share = (given: number): number => (total > 0 ? Math.max(0, 1 - given / total) : 0);
  const start = Date.parse(running.started_at);
  const since = Date.parse(running.flow_since);
  const end = emptyAt === null ? now : Math.min(now, emptyAt);
  const from = share(amount(running.given_before));
  // Straight between the last rate change and the engine's own empty moment.
  const left = emptyAt === null || emptyAt <= since ? from : from * (1 - (end - since) / (emptyAt - since));
  return [
    {
      text: `${fluidTitle(running.mixture.base)}, ${shown(running.flow)}`,
      levels: [
        { at: start, share: 1 },
        { at: since, share: from },
        { at: end, share: Math.max(0, left) },
      ],
      emptyAt: emptyAt !== null && emptyAt > now ? emptyAt : null,
    },
  ];
}

/** The bag is due for a change when it is empty, by the engine. */
const emptyAtOf = (due: DueHere | undefined): number | null => {
  const change = due?.items.find((item) => item.task === 'bag_change');
  return change === undefined ? null : Date.parse(change.due_at);
};

/** Where it lies and with what, as it was placed; else where it is planned. */
export function siteOf(state: LineState): string {
  const placed = state.placement?.placed;
  if (placed) return `${text.site(placed.site.side, placed.site.region)}, ${text.job.gauge(placed.gauge)}`;
  return state.planned ? text.site(state.planned.site.side, state.planned.site.region) : text.job.notPlaced;
}

export const markOf = (one: LineHistoryEntry): RibbonMark => ({
  id: one.id,
  at: Date.parse(one.at),
  kind: kinds[one.kind] ?? 'note',
  ...(one.kind === 'site_checked' || one.kind === 'after_checked' ? { grade: one.worst_grade ?? null } : {}),
  short: text.job.kinds[one.kind as keyof typeof text.job.kinds] ?? one.kind,
  text: one.kind === 'noted' ? text.quoted(say(one.text)) : say(one.text),
  author: one.author,
  corrected: one.corrected,
});

/** As it stands in a row of the ward: what is cut there is a place, never the gauge. */
function shortSite(state: LineState): { side: string; rest: string } {
  const placed = state.placement?.placed;
  const site = placed?.site ?? state.planned?.site;
  const failed = state.attempts.length;
  const words = site === undefined ? (failed > 0 ? text.care.failed(failed) : text.job.notPlaced) : text.regionsShort[site.region];
  const end = state.removal ? `, ${text.care.out}` : placed ? `, ${text.care.gaugeShort(placed.gauge)}` : '';
  return { side: site === undefined ? '' : text.sides[site.side], rest: words + end };
}

/** `hasTwin`: the same patient has another line on the list. */
export function ribbonOf(state: LineState, due: DueHere | undefined, now: number, hasTwin = false, number = ''): RibbonLine {
  const emptyAt = emptyAtOf(due);
  const { side, rest } = shortSite(state);
  const notes = [...(isOfNoWard(state) ? [text.noWard] : []), ...(number === '' ? [] : [number])];
  return {
    id: state.id,
    bed: state.place.bed,
    patient: `${state.patient.family}, ${state.patient.given}`,
    site: [...notes, [side, rest].filter((part) => part !== '').join(' ')].join('; '),
    hasTwin,
    side,
    siteRest: [rest, ...notes, ...(due?.findings.some((one) => one.code === 'shared_limb') === true ? [text.sharedLimb] : [])].join('; '),
    nurse: state.nurse,
    placedAt: state.placement ? Date.parse(state.placement.at) : null,
    removedAt: state.removal ? Date.parse(state.removal.at) : null,
    marks: state.history.map(markOf),
    bags: bagOf(state, now, emptyAt),
    dueUnknown: due?.unknown === true,
    due: (due?.items ?? []).map((item) => ({
      task: item.task as RibbonTask,
      at: Date.parse(item.due_at),
      state: item.state,
      level: levelOf(item),
      title: say(item.title),
      why: say(item.why),
    })),
  };
}
