// The ward as the server and the engine give it: JSON forms of core/line, core/care and their parts.
import type { FieldError } from '../engine/result';
import type { LineEvent } from '../record/entry';
import type { Said } from '../text/message';
import type { DueState, Finding, LookReport, Quantity, Region, Restriction, Side, Source, Verdict, WorkingOf } from '../engine/shapes';

export interface Span {
  value: number;
  unit: 's';
  text: string;
}
export interface Patient {
  number: string;
  family: string;
  given: string;
  birth_date?: string;
  sex: 'female' | 'male' | 'other' | 'unknown';
  weight?: Quantity;
  allergies: string[];
  allergies_known: boolean;
  anticoagulant?: boolean;
  fragile_skin?: boolean;
  can_report_pain?: boolean;
  heart_or_kidney_failure?: boolean;
  dominant_hand?: Side;
  restrictions: Restriction[];
  weeks_at_birth?: number;
}
export interface Site {
  side: Side;
  region: Region;
  vein: string;
}
export interface Vein {
  id: string;
  site: Site;
  diameter: Quantity | string;
  depth: Quantity | string;
  straight_length?: Quantity | string;
  visible: boolean;
  palpable: boolean;
  fragile: boolean;
  faults: string[];
}
export interface Mixture {
  base: string;
  volume: Quantity | string;
  additives: { name: string; volume: Quantity | string }[];
}
export interface Order {
  mixture: Mixture;
  duration?: Quantity | string;
  flow?: Quantity | string;
  purpose: string;
  therapy?: Span;
  drop_factor?: Quantity | string;
  prescriber: string;
}
export interface GradeGiven {
  scale: string;
  version: string;
  grade?: number;
  unmatched: boolean;
}
export interface Signs {
  assessed: boolean;
  present: string[];
  pain_score?: number;
  swelling_extent?: Quantity | string;
  cord_length?: Quantity | string;
}
export interface Running {
  started_at: string;
  mixture: Mixture;
  total: Quantity;
  flow: Quantity;
  flow_since: string;
  given_before: Quantity;
  delivery: 'gravity' | 'pump';
  drop_factor?: Quantity;
}
export interface History {
  id: string;
  at: string;
  kind: string;
  text: string;
  author: string;
  worst_grade?: number;
  corrected: boolean;
}
export interface State {
  id: string;
  stage: 'planned' | 'attempted' | 'dwelling' | 'removed' | 'closed';
  patient: Patient;
  place: { facility: string; unit: string; bed: string };
  order?: Order;
  veins: Vein[];
  double_check?: { second_person: string; agrees: boolean; note: string };
  planned?: { catheter: string; site: Site; override_reason?: string };
  attempts: { at: string; attempt: { outcome: string; clinician: string; site: Site; gauge: number } }[];
  placement?: { at: string; author: string; placed: { site: Site; gauge: number; length: Quantity } };
  running?: Running;
  last_check?: { at: string; author: string; check: { signs: Signs; grades: GradeGiven[]; response: string } };
  last_sound_check_at?: string;
  nurse: string;
  prepared?: { preferred_side?: 'left' | 'right'; dominant_hand?: 'left' | 'right' };
  looks: Look[];
  photos: { at: string; author: string; photo: { hash: string; note: string } }[];
  removal_order?: string;
  removal?: { at: string; author: string; catheter_short: boolean; missing?: Quantity; removed: { reason: string; length_found?: Quantity } };
  history: History[];
  deviations: { event: string; at: string; text: string; reason?: string }[];
  contradictions: string[];
}
/** An entry that could not be read, and why. */
export interface SetAside {
  id: string;
  sequence: number;
  reason: string;
}
export interface LineAnswer {
  state: State;
  events: LineEvent[];
  set_aside?: SetAside[];
  /** So many older entries were not sent along. */
  earlier?: number;
}
/** Of an answer that tells of lines: when the record was last looked at. */
export interface Stood {
  true_at?: string;
}
export interface Look {
  at: string;
  grade?: number;
  pain?: number;
  swelling?: Quantity;
  cord?: Quantity;
}
export interface Trend {
  course: 'not_known' | 'better' | 'steady' | 'worse';
  text: string;
  findings: Finding[];
  workings: WorkingOf[];
}
export interface Note {
  title: string;
  patient: string;
  sections: { heading: string; lines: string[] }[];
  text: string;
}
export interface DueItem {
  task: string;
  due_at: string;
  state: DueState;
  urgency: number;
  title: string;
  why: string;
  source: Source;
  put_off_until?: string;
  put_off_because?: string;
  may_wait: boolean;
  /** Response cards that answer it, by name, gravest first. */
  cards: string[];
}
export interface LineDue {
  line: string;
  nurse: string;
  bed: string;
  patient: string;
  site: string;
  items: DueItem[];
  urgency: number;
  findings: Finding[];
  /** What falls due on it could not be worked out here: that nothing stands is not that nothing falls due. */
  unknown?: true;
}
export interface Visit {
  unit: string;
  bed: string;
  tasks: string[];
  take_along: string[];
  urgency: number;
  nurses: string[];
}
export interface RunningState {
  given: Quantity;
  left: Quantity;
  empty_at?: string;
  share_left: Quantity;
}
export interface RateResult {
  volume: Quantity;
  duration: Quantity;
  flow: Quantity;
  drops_per_minute?: number;
  drops_per_15_seconds?: number;
  ends_at?: string;
  rate_text: string;
  workings: WorkingOf[];
}
export interface OrderCheck {
  verdict: Verdict;
  looks: LookReport[];
  rate: RateResult;
  findings: Finding[];
  workings: WorkingOf[];
}
export interface Margin {
  name: string;
  value: string;
  limit: string;
  share_of_limit: number;
  inside: boolean;
  working: WorkingOf;
}
export interface Option {
  catheter: string;
  vein: string;
  gauge: number;
  length: Quantity;
  site: Site;
  score: number;
  pareto_best: boolean;
  open_flow: Quantity;
  margins: Margin[];
  reasons: string[];
  /** A limb or vein to be left alone: only when somebody says why. */
  needs_reason: boolean;
  cautions: Finding[];
}
export interface PlanResult {
  verdict: Verdict;
  looks: LookReport[];
  /** The first of the options is advised; else none is. */
  first_is_choice: boolean;
  suitability: { route: string; verdict: Verdict; looks: LookReport[]; findings: Finding[] };
  order: OrderCheck;
  needed_flow: Quantity;
  options: Option[];
  further_options: number;
  exclusions: { vein: string; catheters: string[]; reason: Said; change: string }[];
  summary: string;
  findings: Finding[];
}
export interface ResponseCard {
  title: string;
  stop_infusion: boolean;
  remove_advised: boolean;
  call: string;
  steps: { text: string; source: Source }[];
  cautions: string[];
  emergency?: boolean;
  answering?: { acts?: { name: string; text: string }[] };
}
export interface Grade {
  scale: string;
  version: string;
  subject: string;
  grade?: number;
  unmatched: boolean;
  meaning: string;
  unexplained: string[];
  credit: string;
  source: Source;
}
/** A published scale as the ward's policy words it. */
export interface Scale {
  name: string;
  version: string;
  credit: string;
  source: Source;
  grades: { grade: number; meaning: string; all_of: string[]; count_of: string[]; swelling_from?: Quantity }[];
}
export interface Assessment {
  grades: Grade[];
  response?: string;
  /** Every card that fits, gravest first. */
  responses: string[];
  card?: ResponseCard;
  removal_advised: boolean;
  ask: boolean;
  worst_leaked_volume?: Quantity;
  findings: Finding[];
  workings: WorkingOf[];
}
export interface Step {
  id: string;
  title: string;
  detail: string;
  why: string;
  clock?: { rule: 'at_least' | 'at_most'; limit: Span; name: string; source: Source };
  capture: string;
  cautions: Said[];
  stops?: Said[];
  source: Source;
}
export interface Listed {
  name: string;
  synonyms: string[];
  not_known: string[];
  note: string;
}
export interface InfusateList {
  entries: Listed[];
  nearest: string[];
}
export interface FailedAttempt {
  response?: string;
  card?: ResponseCard;
  go_on_at: string;
  findings: Finding[];
}
export interface SupplyCheck {
  pack: { gtin?: string; lot?: string; expiry?: string; findings: Finding[] };
  state: 'in_date' | 'last_day' | 'expired' | 'unknown';
  text: string;
  usable: boolean;
}
export interface CatheterCheck {
  alarm: boolean;
  missing?: Quantity;
  findings: Finding[];
  card?: ResponseCard;
}
export interface DripEstimate {
  drop_rate: Quantity;
  flow: Quantity;
  flow_low: Quantity;
  flow_high: Quantity;
  drops_counted: number;
  advice: string;
  advice_text: string;
  findings: Finding[];
  workings: WorkingOf[];
}
export interface FlowBand {
  middle: Quantity;
  low: Quantity;
  high: Quantity;
}
/** The open line as is usual, and as counts of it show it to be. */
export interface OpenLineAnswer {
  before: FlowBand;
  after?: FlowBand;
  counted_to_expected?: Quantity;
  set_flow_implied?: Quantity;
  beliefs: { what: string; before: string; after: string }[];
  findings: Finding[];
  workings: WorkingOf[];
}
export interface Curve {
  points: { time: number; survival: number; low?: number; high?: number }[];
  median?: number;
}
export interface GroupSummary {
  group: string;
  lines: number;
  failures: number;
  failure_rate: { rate: number; low: number; high: number; catheter_days: number };
  survival: Curve;
  /** Absent: of no line the attempts are recorded. */
  first_attempt_success?: { share: number; low: number; high: number; events: number; of: number };
  reasons: Record<string, number>;
}
export interface LearnResult {
  groups: GroupSummary[];
  log_rank?: { chi_square: number; degrees_of_freedom: number; p_value: number };
  unknown_reasons: number;
  still_in: number;
  findings: Finding[];
}
export interface Catheter {
  id: string;
  gauge: number;
  length: Quantity;
  colour: string;
}
export interface Library {
  policy: {
    name: string;
    version: string;
    place: {
      antiseptics: Record<string, { name: string; note: string }>;
      topical_anaesthetics: Record<string, { name: string; note: string }>;
      usual_antiseptic: string;
    };
    access: { difficulty: DifficultyScale[] };
    gravity: { bag_height: { value: Quantity } };
    responses: Record<string, ResponseCard>;
    scales: Scale[];
  };
  catheters: Catheter[];
  infusates: Record<string, { name: string; kind: string; giving?: unknown; relative_viscosity?: number }>;
}
export interface DifficultyScale {
  name: string;
  version: string;
  ages: 'adults' | 'children';
  credit: string;
  source: Source;
  items: { name: string; question: string; answers: { name: string; text: string }[]; evidence: string }[];
}
export interface About {
  name: string;
  version: string;
  demo: boolean;
  ward: { facility: string; unit: string; bed: string };
  local: unknown;
  /** Changes when any file of the page changes. */
  page?: string;
}
export type { FieldError };
