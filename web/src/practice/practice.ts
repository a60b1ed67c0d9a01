// A run of practice on this device until it is scored, and the learner's skills record on the server.
import { ask } from '../record/ask';
import { moment } from '../time/clock';
import { readResult, type Result } from '../engine/result';
import { asCharted } from '../record/entry';
import type { ProcedureClockRunIn, ProcedureSkill, ProcedurePractised } from '../engine/generated/shapes';
import { answerOf, post, type Address } from '../record/api';

/** As the observer ticks; the clocks keep their moments, so that they go on after the page was closed. */
export interface Run {
  id: string;
  skill: ProcedureSkill;
  number: number;
  learner: string;
  observer: string;
  begun_at: string;
  done: { step: string; at: string }[];
  not_needed: string[];
  clocks: Record<string, { startedAt: number | null; stoppedAt: number | null }>;
  note: string;
}
/** A clock that still runs at the end counts as far as it ran. */
function clocksOf(run: Run, endedAt: number): ProcedureClockRunIn[] {
  return Object.entries(run.clocks).flatMap(([step, { startedAt, stoppedAt }]) =>
    startedAt === null ? [] : [{ step, ran: { value: Math.max(0, Math.floor(((stoppedAt ?? endedAt) - startedAt) / 1000)), unit: 's' } }],
  );
}

/** Scored and kept by the server; a resend of the same run is harmless. Rejects when it cannot be reached. */
export async function sendRun(run: Run, now = moment()): Promise<Result<ProcedurePractised>> {
  const body = { ...asCharted(run), ended_at: new Date(Math.max(now, Date.parse(run.begun_at))).toISOString(), clocks: clocksOf(run, now) };
  const answer = await post('POST /api/practice', 'api/practice', body);
  if (!answer.ok && answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
  return readResult<ProcedurePractised>(await answer.text());
}

export async function skillsOf(learner: string): Promise<ProcedurePractised[]> {
  const address: Address<'GET /api/practice'> = `api/practice?learner=${encodeURIComponent(learner)}`;
  const answer = await ask(address);
  if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
  return answerOf('GET /api/practice', await answer.text()).runs;
}
