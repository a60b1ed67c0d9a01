// Invented cases to practise on without anybody watching: a plan, a grade, a drip. They are data alone; what is right is the
// engine's to say, by the ward's own policy.
import type { Input } from '../engine/engine';
import type { AccessVeinIn, SiteSignsIn } from '../engine/generated/shapes';

export type PlanCase = Input<'device.plan'> & { veins: AccessVeinIn[] };

const vein = (id: string, side: 'left' | 'right', region: AccessVeinIn['site']['region'], diameter: string, depth: string, more: Partial<AccessVeinIn> = {}): AccessVeinIn => ({
  id, site: { side, region, vein: '' }, diameter, depth, visible: true, palpable: true, fragile: false, faults: [], ...more,
});
/** So many years before the day of `now`, so that the patients keep their ages. */
const bornBefore = (now: number, years: number): string => `${new Date(now).getFullYear() - years}-01-15`;

export const planCases: readonly ((now: number) => PlanCase)[] = [
  // Pneumonia, an antibiotic that irritates every 8 h for three days, and an arm in which little is left.
  (now) => ({
    patient: {
      number: 'P-1', family: 'Practice', given: 'One', birth_date: bornBefore(now, 58), sex: 'male', weight: '82 kg', allergies: [], allergies_known: true, anticoagulant: false, restrictions: [],
    },
    order: { mixture: { base: 'piperacillin with tazobactam 45 mg/mL', volume: '100 mL', additives: [] }, duration: '30 min', therapy: '3 d', drop_factor: '20 {drop}/mL', purpose: 'medicine', prescriber: '' },
    veins: [
      vein('1', 'left', 'forearm_upper', '2.6 mm', '3 mm', { visible: false }),
      vein('2', 'left', 'hand_back', '2.2 mm', '1.5 mm'),
      vein('3', 'right', 'antecubital', '3.6 mm', '3 mm', { faults: ['at_joint'] }),
      vein('4', 'right', 'forearm_middle', '2 mm', '2.5 mm', { faults: ['hard_or_corded'] }),
    ],
    surgery_expected: false, blood_expected: false, rapid_fluids_expected: false, failed_sites: [], now: new Date(now).toISOString(), beside: [],
  }),
  // Light, old, one arm to be left alone, a litre over eight hours.
  (now) => ({
    patient: {
      number: 'P-2', family: 'Practice', given: 'Two', birth_date: bornBefore(now, 84), sex: 'female', weight: '47 kg', allergies: [], allergies_known: true, anticoagulant: false, fragile_skin: true,
      restrictions: [{ side: 'right', limb: 'arm', reason: 'node_dissection', note: '' }],
    },
    order: { mixture: { base: 'balanced crystalloid (acetate-gluconate)', volume: '1 L', additives: [] }, duration: '8 h', therapy: '2 d', drop_factor: '20 {drop}/mL', purpose: 'rehydration', prescriber: '' },
    veins: [
      vein('1', 'left', 'forearm_middle', '2.8 mm', '2 mm', { fragile: true }),
      vein('2', 'left', 'hand_back', '2 mm', '1.5 mm', { faults: ['bruised'] }),
      vein('3', 'right', 'forearm_middle', '2.9 mm', '2 mm'),
    ],
    surgery_expected: false, blood_expected: false, rapid_fluids_expected: false, failed_sites: [], now: new Date(now).toISOString(), beside: [],
  }),
  // What no short catheter is advised for: strong potassium.
  (now) => ({
    patient: {
      number: 'P-3', family: 'Practice', given: 'Three', birth_date: bornBefore(now, 41), sex: 'female', weight: '60 kg', allergies: [], allergies_known: true, anticoagulant: false, restrictions: [],
    },
    order: { mixture: { base: 'dextrose 20 %', volume: '500 mL', additives: [] }, duration: '12 h', therapy: '4 d', drop_factor: '20 {drop}/mL', purpose: 'other', prescriber: '' },
    veins: [vein('1', 'left', 'forearm_middle', '3.2 mm', '3 mm'), vein('2', 'right', 'forearm_upper', '3 mm', '4 mm')],
    surgery_expected: false, blood_expected: false, rapid_fluids_expected: false, failed_sites: [], now: new Date(now).toISOString(), beside: [],
  }),
];

export interface SiteCase {
  signs: SiteSignsIn;
  harm: Input<'site.assess'>['exposure']['harm'];
}
export const siteCases: readonly SiteCase[] = [
  { signs: { assessed: true, present: ['redness', 'pain'], pain_score: 4 }, harm: 'irritant' },
  { signs: { assessed: true, present: ['swelling', 'coolness', 'blanching'], pain_score: 2, swelling_extent: '4 cm' }, harm: 'harmless' },
  { signs: { assessed: true, present: ['redness', 'pain', 'swelling', 'palpable_cord'], pain_score: 6, swelling_extent: '2 cm', cord_length: '4 cm' }, harm: 'irritant' },
  { signs: { assessed: true, present: [], pain_score: 0 }, harm: 'harmless' },
];

export interface DripCase {
  volume: string;
  duration: string;
  factor: string;
  /** How the clamp stands at first, in drops a minute. */
  clamp: number;
}
export const dripCases: readonly DripCase[] = [
  { volume: '1 L', duration: '8 h', factor: '20 {drop}/mL', clamp: 58 },
  { volume: '500 mL', duration: '6 h', factor: '15 {drop}/mL', clamp: 14 },
  { volume: '100 mL', duration: '1 h', factor: '60 {drop}/mL', clamp: 72 },
];
