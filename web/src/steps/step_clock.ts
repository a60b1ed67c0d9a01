// What a step's clock says: antiseptic drying and pressure want "at least", a tourniquet "at most". The limit comes from
// the policy; this only compares it with the time that has passed.
import { second } from '../time/spans';

export type ClockRule = 'at_least' | 'at_most';
export type ClockState = 'idle' | 'waiting' | 'reached' | 'running' | 'near' | 'over' | 'stopped_short' | 'stopped_over' | 'stopped_good';

export interface ClockReading {
  state: ClockState;
  elapsed: number;
  /** Still to wait, still left, or over, in ms: what the state's words speak of. */
  rest: number;
  /** Share of the limit, 0 to 1. */
  share: number;
}

/** The last quarter of an "at most" clock, and at least its last 10 s, is called near. */
function isNear(rest: number, limit: number): boolean {
  return rest <= Math.max(limit / 4, Math.min(10 * second, limit / 2));
}

export function readClock(
  rule: ClockRule,
  limit: number,
  startedAt: number | null,
  stoppedAt: number | null,
  now: number,
): ClockReading {
  if (startedAt === null) return { state: 'idle', elapsed: 0, rest: limit, share: 0 };
  const elapsed = Math.max(0, (stoppedAt ?? now) - startedAt);
  const rest = Math.abs(limit - elapsed);
  const share = Math.min(1, elapsed / limit);
  const enough = elapsed >= limit;
  const over = elapsed > limit;
  if (stoppedAt !== null) {
    const good = rule === 'at_least' ? enough : !over;
    const state = good ? 'stopped_good' : rule === 'at_least' ? 'stopped_short' : 'stopped_over';
    return { state, elapsed, rest, share };
  }
  if (rule === 'at_least') return { state: enough ? 'reached' : 'waiting', elapsed, rest, share };
  if (over) return { state: 'over', elapsed, rest, share };
  return { state: isNear(rest, limit) ? 'near' : 'running', elapsed, rest, share };
}
