// The sums of the "More sums" list: which function of the engine, which fields, and how what was typed becomes its input.
// No clinical formula stands here; the engine does the sum and says how.
import type { FunctionName, Input, Output } from '../engine/engine';
import type { Finding, GrowthPerson, LinePatient, VerdictLookReport, VerdictVerdict, Working } from '../engine/generated/shapes';
import { accepted, type Result } from '../engine/result';
import { Written } from '../engine/written';
import type { Said } from '../text/message';
import { sums as sumWords } from '../text/sums';
import { shown } from '../text/text';

export interface SumField {
  name: string;
  label: string;
  hint?: string;
  /** Path in the engine's input whose faults belong to this field. */
  path: string;
  kind: 'quantity' | 'choice' | 'tick' | 'medicine' | 'fluid';
  options?: Readonly<Record<string, string>>;
  start?: string;
}
export type Typed = Readonly<Record<string, string>>;
/** What the page shows of every sum's answer. */
export interface SumAnswer {
  findings: Finding[];
  workings: Working[];
  verdict?: VerdictVerdict;
  looks?: VerdictLookReport[];
  /** Lines of the answer beyond its workings. */
  rows: Said[];
}
/** The functions that answer as a sum does. */
type SumName = { [Name in FunctionName]: Output<Name> extends Omit<SumAnswer, 'rows'> ? Name : never }[FunctionName];
/** What was typed, by the function's own names: the engine reads it, and says what is missing. */
type Entered<Name extends SumName> = { [Field in keyof Input<Name>]?: unknown };
type Call = <Name extends FunctionName>(name: Name, input: Written) => Promise<Result<Output<Name>>>;

export interface Sum {
  id: string;
  title: string;
  lead: string;
  fields: SumField[];
  /** The function holds the weight against the patient's age, where the line is known. */
  asksPerson?: true;
  /** The function looks at the patient's allergies, where the line is known. */
  asksPatient?: true;
  /** The function looks at the patient's age too, and so asks for the day. */
  asksDay?: true;
  work(call: Call, typed: Typed, person: GrowthPerson | undefined, patient: LinePatient | undefined): Promise<Result<SumAnswer>>;
}
interface SumOf<Name extends SumName> extends Omit<Sum, 'work'> {
  function: Name;
  input(typed: Typed): Entered<Name>;
  rows?(answer: Output<Name>): Said[];
}

const sumOf = <Name extends SumName>({ function: name, input, rows, ...shown }: SumOf<Name>): Sum => ({
  ...shown,
  work: async (call, typed, person, patient) => {
    const asked = { ...input(typed), ...(shown.asksPerson && person ? { person } : {}), ...(shown.asksPatient && patient ? { patient } : {}), ...(shown.asksDay && person?.today ? { today: person.today } : {}) };
    const answer = await call(name, new Written(JSON.stringify(asked)));
    if (!answer.ok) return answer;
    const plain: Omit<SumAnswer, 'rows'> = answer.value;
    return accepted({ ...plain, rows: rows?.(answer.value) ?? [] });
  },
});

const words = sumWords;
const field = (name: string, label: string, hint: string, start = ''): SumField => ({ name, label, hint, path: `/${name}`, kind: 'quantity', start });
/** Only what was typed goes to the engine; an empty field is absent, not zero. */
const given = (typed: Typed, names: readonly string[]): Record<string, string> =>
  Object.fromEntries(names.map((name) => [name, (typed[name] ?? '').trim()]).filter(([, value]) => value !== ''));
const drops = (value: string | undefined): Record<string, string> => {
  const typed = (value ?? '').trim();
  return typed === '' ? {} : { drop_factor: /^\d+$/.test(typed) ? `${typed} {drop}/mL` : typed };
};
/** "80" to a number; anything else goes as typed: the engine reads it, and asks when a comma or a point could part thousands. */
const numeric = (value: string | undefined): Record<string, unknown>[string] => {
  const typed = (value ?? '').trim();
  return typed === '' ? undefined : /^\d+$/.test(typed) ? Number(typed) : typed;
};
const without = (input: Record<string, unknown>): Record<string, unknown> => Object.fromEntries(Object.entries(input).filter(([, value]) => value !== undefined));

export const sums: Sum[] = [
  sumOf({
    id: 'push', asksPerson: true, asksPatient: true, function: 'dosing.push', title: words.push.title, lead: words.push.lead,
    fields: [
      field('volume', words.push.volume, '10 mL'), field('over', words.push.over, '5 min'), field('step', words.push.step, '1 mL', '1 mL'),
      field('dose', words.push.dose, '40 mg'), field('highest_rate', words.push.highest, '4 mg/min'),
      { name: 'medicine', label: words.push.medicine, path: '/medicine', kind: 'medicine' }, field('weight', words.push.weight, '62 kg'),
    ],
    input: (typed) => given(typed, ['volume', 'over', 'step', 'dose', 'highest_rate', 'medicine', 'weight']),
    rows: (answer) => answer.steps.map((step) => words.push.at(shown(step.at), shown(step.given))),
  }),
  sumOf({
    id: 'secondary', function: 'dosing.secondary', title: words.secondary.title, lead: words.secondary.lead,
    fields: [
      field('primary_left', words.secondary.primaryLeft, '600 mL'), field('primary_flow', words.secondary.primaryFlow, '100 mL/h'),
      field('secondary_volume', words.secondary.volume, '100 mL'), field('secondary_flow', words.secondary.flow, '200 mL/h'),
      { name: 'mode', label: words.secondary.mode, path: '/mode', kind: 'choice', options: words.secondary.modes, start: 'primary_waits' },
      { name: 'gravity', label: words.secondary.gravity, path: '/gravity', kind: 'tick' },
    ],
    input: (typed) => ({
      ...given(typed, ['primary_left', 'primary_flow', 'secondary_volume', 'secondary_flow', 'mode']),
      gravity: typed['gravity'] === 'yes',
    }),
    rows: (answer) => [answer.runs_first],
  }),
  sumOf({
    id: 'transfusion', asksPerson: true, function: 'dosing.transfusion', title: words.transfusion.title, lead: words.transfusion.lead,
    fields: [
      field('volume', words.transfusion.volume, '300 mL'), field('over', words.transfusion.over, '3 h'),
      field('drop_factor', words.transfusion.factor, '20 drops/mL'), field('weight', words.transfusion.weight, '62 kg'),
      { name: 'age_band', label: words.transfusion.age, path: '/age_band', kind: 'choice', options: words.transfusion.ages, start: 'unknown' },
    ],
    input: (typed) => ({ ...given(typed, ['volume', 'over', 'weight', 'age_band']), ...drops(typed['drop_factor']) }),
    rows: (answer) => [
      words.transfusion.first(shown(answer.first_flow), shown(answer.first_volume)),
      words.transfusion.then(shown(answer.then_flow), shown(answer.then_for)),
    ],
  }),
  sumOf({
    id: 'dilution', asksPatient: true, asksDay: true, function: 'dosing.dilution', title: words.dilution.title, lead: words.dilution.lead,
    fields: [
      { name: 'medicine', label: words.dilution.medicine, path: '/medicine', kind: 'medicine' },
      field('dose', words.dilution.dose, '1250 mg'), field('volume', words.dilution.volume, '250 mL'), field('duration', words.dilution.duration, '2 h'),
      { name: 'diluent', label: words.dilution.diluent, path: '/diluent', kind: 'fluid' },
      { name: 'in_syringe', label: words.dilution.syringe, path: '/in_syringe', kind: 'tick' },
      { name: 'fluid_restricted', label: words.dilution.restricted, path: '/fluid_restricted', kind: 'tick' },
      { name: 'frail', label: words.dilution.frail, path: '/frail', kind: 'tick' },
    ],
    input: (typed) => ({
      medicine: typed['medicine'] ?? '', ...given(typed, ['dose', 'volume', 'duration', 'diluent']), in_syringe: typed['in_syringe'] === 'yes',
      fluid_restricted: typed['fluid_restricted'] === 'yes', frail: typed['frail'] === 'yes',
    }),
  }),
  sumOf({
    id: 'deficit', asksPerson: true, function: 'hydration.deficit', title: words.deficit.title, lead: words.deficit.lead,
    fields: [
      field('weight', words.deficit.weight, '22 kg'), field('share', words.deficit.share, '5 %'), field('given', words.deficit.given, '220 mL'),
      field('maintenance', words.deficit.maintenance, '62 mL/h'), field('over', words.deficit.over, '48 h'),
    ],
    input: (typed) => ({ ...given(typed, ['weight', 'share', 'given', 'maintenance', 'over']), weight_is_today: false, group: 'older_child' }),
  }),
  sumOf({
    id: 'osmolality', function: 'hydration.osmolality', title: words.osmolality.title, lead: words.osmolality.lead,
    fields: [
      field('sodium', words.osmolality.sodium, '146 mmol/L'), field('potassium', words.osmolality.potassium, '4.2 mmol/L'),
      field('glucose', words.osmolality.glucose, '6 mmol/L'), field('urea', words.osmolality.urea, '9 mmol/L'),
      field('measured', words.osmolality.measured, '301 mOsm/L'),
    ],
    input: (typed) => given(typed, ['sodium', 'potassium', 'glucose', 'urea', 'measured']),
  }),
  sumOf({
    id: 'forecast', asksPerson: true, function: 'hydration.forecast', title: words.forecast.title, lead: words.forecast.lead,
    fields: [
      { ...field('serum_sodium', words.forecast.sodium, '158 mmol/L') }, field('weight', words.forecast.weight, '47 kg'),
      { name: 'group', label: words.forecast.group, path: '/group', kind: 'choice', options: words.forecast.groups, start: 'older_woman' },
      { ...field('flow', words.forecast.flow, '100 mL/h'), path: '/streams/0/flow' },
      { ...field('cations', words.forecast.cations, '77 mmol/L'), path: '/streams/0/cations' },
      { ...field('urine', words.forecast.urine, '40 mL/h'), path: '/streams/1/flow' },
      { ...field('urine_cations', words.forecast.urineCations, '60 mmol/L'), path: '/streams/1/cations' },
      { ...field('insensible', words.forecast.insensible, '33 mL/h'), path: '/streams/2/flow' },
    ],
    input: (typed) => ({
      ...given(typed, ['serum_sodium', 'weight', 'group']), horizon: '48 h',
      streams: [
        { name: words.forecast.streams.infusion, direction: 'in', flow: typed['flow'] ?? '', cations: typed['cations'] ?? '', from: '0 h' },
        { name: words.forecast.streams.urine, direction: 'out', flow: typed['urine'] ?? '', cations: typed['urine_cations'] ?? '', from: '0 h' },
        { name: words.forecast.streams.insensible, direction: 'out', flow: typed['insensible'] ?? '', cations: '0 mmol/L', from: '0 h' },
      ],
    }),
    rows: (answer) =>
      answer.hourly
        .filter((_, hour) => hour > 0 && hour % 12 === 0)
        .map((point) => words.forecast.row(shown(point.at), shown(point.sodium), shown(point.sodium_with_intercept))),
  }),
  sumOf({
    id: 'kidney', function: 'hydration.kidney', title: words.kidney.title, lead: words.kidney.lead,
    fields: [
      field('age_years', words.kidney.age, '80'), field('weight', words.kidney.weight, '55 kg'),
      { name: 'sex', label: words.kidney.sex, path: '/sex', kind: 'choice', options: words.kidney.sexes, start: 'female' },
      field('creatinine', words.kidney.creatinine, words.kidney.creatinineHint),
    ],
    input: (typed) => {
      const creatinine = (typed['creatinine'] ?? '').trim();
      const by = creatinine.includes('mol') ? 'creatinine_by_amount' : 'creatinine';
      return without({ age_years: numeric(typed['age_years']), ...given(typed, ['weight', 'sex']), [by]: creatinine === '' ? undefined : creatinine });
    },
  }),
  sumOf({
    id: 'size', function: 'hydration.body_size', title: words.size.title, lead: words.size.lead,
    fields: [
      field('height', words.size.height, '160 cm'), field('weight', words.size.weight, '60 kg'), field('age_years', words.size.age, '70'),
      { name: 'sex', label: words.size.sex, path: '/sex', kind: 'choice', options: words.kidney.sexes, start: 'female' },
    ],
    input: (typed) => without({ ...given(typed, ['height', 'weight', 'sex']), age_years: numeric(typed['age_years']) }),
  }),
  sumOf({
    id: 'tip', function: 'vessel.tip', title: words.tip.title, lead: words.tip.lead,
    fields: [
      field('vein_inner', words.tip.vein, '2.8 mm'), field('angle_degrees', words.tip.angle, '20'), field('lead', words.tip.lead2, '2 mm', '2 mm'),
      field('lowered_degrees', words.tip.lowered, '10'),
    ],
    input: (typed) =>
      without({ ...given(typed, ['vein_inner', 'lead']), angle_degrees: numeric(typed['angle_degrees']), lowered_degrees: numeric(typed['lowered_degrees']) }),
  }),
];
