// A run of practice on this device until it is scored, and the learner's skills record on the server.
import { moment } from '../time/clock';
import { readResult, type Result } from '../engine/result';
import { asCharted } from '../record/entry';
import type { Source } from '../engine/shapes';
import type { Patient, Span, Step } from './shapes';

export type Skill = 'placing' | 'removing' | 'receiving' | 'checking';
export interface CaseSkills {
  number: number;
  skills: Skill[];
}

export interface PracticeCase {
  number: number;
  told: string;
  patient: Patient;
  steps: Step[];
}
/** As the observer ticks; the clocks keep their moments, so that they go on after the page was closed. */
export interface Run {
  id: string;
  skill: Skill;
  number: number;
  learner: string;
  observer: string;
  begun_at: string;
  done: { step: string; at: string }[];
  not_needed: string[];
  clocks: Record<string, { startedAt: number | null; stoppedAt: number | null }>;
  note: string;
}
export interface StepScore {
  step: string;
  title: string;
  seen: 'done' | 'out_of_order' | 'missed' | 'not_needed';
  must: boolean;
  /** Here its doing is the fault. */
  must_not?: boolean;
  clock_kept?: boolean;
  clock_ran?: Span;
  limit?: Span;
}
export interface Score {
  steps: StepScore[];
  asked_for: number;
  in_order: number;
  share: number;
  passed: boolean;
  again: string[];
  source: Source;
  good_until?: string;
}
export interface Practised {
  run: { id: string; skill: Skill; number: number; learner: string; observer: string; ended_at: string; note: string };
  score: Score;
}

/** A clock that still runs at the end counts as far as it ran. */
function clocksOf(run: Run, endedAt: number): { step: string; ran: { value: number; unit: 's' } }[] {
  return Object.entries(run.clocks).flatMap(([step, { startedAt, stoppedAt }]) =>
    startedAt === null ? [] : [{ step, ran: { value: Math.max(0, Math.floor(((stoppedAt ?? endedAt) - startedAt) / 1000)), unit: 's' as const } }],
  );
}

/** Scored and kept by the server; a resend of the same run is harmless. Rejects when it cannot be reached. */
export async function sendRun(run: Run, now = moment()): Promise<Result<Practised>> {
  const body = { ...asCharted(run), ended_at: new Date(Math.max(now, Date.parse(run.begun_at))).toISOString(), clocks: clocksOf(run, now) };
  const answer = await fetch('api/practice', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
  if (!answer.ok && answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
  return readResult<Practised>(await answer.text());
}

export async function skillsOf(learner: string): Promise<Practised[]> {
  const answer = await fetch(`api/practice?learner=${encodeURIComponent(learner)}`);
  if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
  return ((await answer.json()) as { runs: Practised[] }).runs;
}
