// What has been done so far while a line is used: kept sealed on this device, so that an interruption loses nothing; and the facts
// that it makes.
import type { FieldError } from '../engine/result';
import type { ProcedureDisplacement, ProcedureLineUse } from '../engine/generated/shapes';
import type { Charted } from '../store/ward.svelte';

export interface Using {
  step: number;
  band: string;
  medicine: string;
  volume: string;
  over: string;
  clocks: Record<string, { startedAt: number | null; stoppedAt: number | null }>;
  bloodReturn: boolean | null;
  connector: ProcedureDisplacement;
  /** Null: nobody said what stands between. */
  parts: string[] | null;
  /** How much went in at which flush, in words. */
  flushed: Record<string, string>;
  /** Typed instead of what the step says. */
  otherVolume: string;
  gave: boolean;
  tookOff: boolean;
  given: string;
  drawn: string;
  why: string;
}
export const notBegun = (): Using => ({
  step: 0, band: '', medicine: '', volume: '', over: '', clocks: {}, bloodReturn: null, connector: 'unknown', parts: null, flushed: {}, otherVolume: '',
  gave: false, tookOff: false, given: '', drawn: '', why: '',
});
/** What is worth keeping of it: a clock that was only looked at is none. */
export const worthKeeping = (using: Using): Using => ({
  ...using,
  clocks: Object.fromEntries(Object.entries(using.clocks).filter(([, clock]) => clock.startedAt !== null)),
});

const saline = 'sodium chloride 0.9 %';
export type Trouble = 'resistance' | 'not_given';

/** What went in, came out and was locked, in its order; `trouble`: what ended it. */
export function factsOf(use: ProcedureLineUse, using: Using, runs: boolean, drawnNote: string, trouble?: Trouble): Charted[] {
  const facts: Charted[] = [];
  let came = using.bloodReturn;
  const flush = (volume: string, more: { locks?: boolean; resistance?: boolean }): void => {
    facts.push({ kind: 'flushed', fluid: saline, volume, resistance: more.resistance ?? false, locks: more.locks ?? false, ...(came === null ? {} : { blood_return: came }) });
    came = null; // drawn back once, said once
  };
  if (using.tookOff && runs) facts.push({ kind: 'infusion_ended', reason: '', ...(using.given.trim() === '' ? {} : { given: using.given.trim() }) });
  const before = using.flushed['flush_before'];
  if (before !== undefined) flush(before, {});
  if (using.gave && use === 'push') facts.push({ kind: 'flushed', fluid: using.medicine.trim(), volume: using.volume.trim(), resistance: false, locks: false });
  if (using.drawn.trim() !== '') facts.push({ kind: 'noted', text: drawnNote });
  const after = using.flushed['flush_after'];
  if (trouble === 'resistance') flush('0 mL', { resistance: true });
  else if (trouble === 'not_given' && came !== null) flush('0 mL', {});
  else if (after !== undefined) flush(after, { locks: !runs || use === 'disconnect' });
  return facts;
}

/** A push without a name or a volume is none. */
export const missingOf = (use: ProcedureLineUse, using: Using, words: { medicine: string; volume: string }): FieldError[] =>
  use !== 'push'
    ? []
    : [
        ...(using.medicine.trim() === '' ? [{ path: words.medicine, found: '', expected: words.medicine }] : []),
        ...(using.volume.trim() === '' ? [{ path: words.volume, found: '', expected: words.volume }] : []),
      ];
