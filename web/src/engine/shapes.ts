// The shapes that the engine's answers are made of. They are the JSON forms of core/quantity; the numbers inside are for
// drawing only: what a person reads is always the engine's own `text`.

import type { Said } from '../text/message';

export interface Quantity {
  value: number;
  unit: string;
  text: string;
}

export const marks = ['read', 'secondary', 'weak', 'memory', 'practice', 'computed'] as const;
export type Mark = (typeof marks)[number];

export interface Source {
  text: string;
  mark: Mark;
}

export interface WorkingInput {
  name: Said;
  value: Said;
}

export interface WorkingOf {
  name: Said;
  formula: Said;
  inputs: WorkingInput[];
  result: Said;
  source: Source;
}

export type Severity = 'information' | 'caution' | 'stop';

/** How an answer ends. `not_fully_checked` is no good news: nobody starts on it before somebody has looked. */
export type Verdict = 'pass' | 'caution' | 'not_fully_checked' | 'stop';
/** One of the looks that a verdict is made of. */
export interface LookReport {
  look: string;
  state: 'looked' | 'could_not_look' | 'does_not_apply';
  worst?: Severity;
  missing: Said[];
}
export interface Finding {
  severity: Severity;
  code: string;
  text: Said;
  source: Source;
}

export type Side = 'left' | 'right';
export type Region =
  | 'hand_back'
  | 'wrist_back'
  | 'wrist_palmar'
  | 'forearm_lower'
  | 'forearm_middle'
  | 'forearm_upper'
  | 'antecubital'
  | 'upper_arm'
  | 'foot'
  | 'leg'
  | 'scalp';

export const limbs = ['arm', 'leg', 'head'] as const;
export type Limb = (typeof limbs)[number];

export const restrictionReasons = [
  'fistula_or_graft',
  'node_dissection',
  'lymphoedema',
  'weak_after_stroke',
  'thrombosis',
  'infection_or_burn',
  'kidney_vein_saving',
  'fracture_or_cast',
  'patient_refusal',
  'other',
] as const;

export interface Restriction {
  side: Side;
  limb: Limb;
  reason: string;
  note: string;
}

export type DueState = 'later' | 'soon' | 'due' | 'overdue';
