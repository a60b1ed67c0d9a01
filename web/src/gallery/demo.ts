// Invented lines and people for the gallery, and only for it.
import type { Working as WorkingOf } from '../engine/generated/shapes';
import type { CurvePoint } from '../learn/survival_path';
import type { BannerPatient } from '../parts/PatientBanner.svelte';
import type { RibbonBag, RibbonDue, RibbonLine, RibbonMark } from '../parts/ribbon/ribbon_line';
import { hour, minute } from '../time/spans';

export const now = new Date(2026, 10, 25, 14, 5).getTime();

const check = (id: string, hoursAgo: number, grade: number | null, said = 'Site checked'): RibbonMark => ({
  id,
  at: now - hoursAgo * hour,
  kind: 'site_check',
  grade,
  short: grade === null ? 'Site ?' : `Site ${grade}`,
  text: said,
  author: 'R. Okoro',
});
const mark = (id: string, hoursAgo: number, kind: RibbonMark['kind'], short: string, text: string): RibbonMark => ({
  id,
  at: now - hoursAgo * hour,
  kind,
  short,
  text,
  author: 'R. Okoro',
});
const due = (task: RibbonDue['task'], inHours: number, state: RibbonDue['state'], title: string, why: string): RibbonDue => ({
  task,
  at: now + inHours * hour,
  state,
  level: state === 'overdue' ? 'late' : state === 'due' ? 'now' : state === 'soon' ? 'soon' : 'due',
  title,
  why,
});
const bag = (text: string, startedAgo: number, share: number, emptyIn: number | null): RibbonBag => ({
  text,
  levels: [
    { at: now - startedAgo * hour, share: 1 },
    { at: now, share },
  ],
  emptyAt: emptyIn === null ? null : now + emptyIn * hour,
});

export const story: RibbonLine = {
  id: 'story',
  bed: '4',
  patient: 'ALDERSON, Ines',
  site: 'left forearm, middle third, 20 G',
  nurse: 'R. Okoro', placedAt: now - 29 * hour,
  removedAt: null,
  marks: [
    { ...mark('p', 29, 'placed', 'Placed 20 G', 'Placed at the second attempt, blood return, flushed 10 mL'), author: 'M. Lindqvist' },
    check('c0', 25, 0),
    mark('f0', 21, 'flush', 'Flush', 'Flushed 10 mL, no resistance'),
    check('c1', 17, 0),
    mark('r0', 14.6, 'rate', '125 mL/h', 'Sodium chloride 0.9 %, 125 mL/h by pump'),
    check('c2', 13, 0),
    mark('s0', 12.4, 'set', 'Set', 'Administration set changed'),
    check('c3', 9, 0),
    mark('d0', 8.2, 'dressing', 'Dressing', 'Dressing changed: edge lifted'),
    mark('r1', 6.5, 'rate', '84 mL/h', 'Rate changed to 84 mL/h as ordered'),
    { ...check('c4', 5, 1, 'Pain along the vein, slight redness'), short: 'Site 1: pain' },
    mark('n0', 4.1, 'note', 'Told doctor', 'Told Dr Vance; keep in and watch'),
    check('c5', 2.5, null, 'Redness and a cool, tight swelling'),
    mark('x0', 2.2, 'problem', 'Pump alarm', 'Pump alarm: pressure high; line unkinked'),
  ],
  bags: [
    { text: 'sodium chloride 0.9 %, 1\u202f000 mL', levels: [{ at: now - 14.6 * hour, share: 1 }, { at: now - 6.7 * hour, share: 0.02 }], emptyAt: null },
    {
      text: 'sodium chloride 0.9 %, 500 mL at 84 mL/h',
      levels: [{ at: now - 6.5 * hour, share: 1 }, { at: now - 2 * hour, share: 0.42 }, { at: now - 1.8 * hour, share: 0.42 }, { at: now, share: 0.24 }],
      emptyAt: now + 1.4 * hour,
    },
  ],
  due: [
    due('site_check', -0.7, 'overdue', 'Check the site', 'signs matched no grade: again after 1 h'),
    due('bag_change', 1.4, 'soon', 'Next bag', 'empty about 15:29'),
    due('flush', 3, 'later', 'Flush', 'every 8 h'),
    due('set_change', 5.6, 'later', 'Change the set', 'every 96 h'),
  ],
};

export const ward: RibbonLine[] = [
  { ...story, id: 'w1' },
  {
    id: 'w2', bed: '11', patient: 'NAKASHIMA, Tomo', site: 'right hand, back, 22 G', nurse: 'R. Okoro', placedAt: now - 97 * hour, removedAt: null,
    marks: [check('a', 15, 0), check('b', 9, 2), mark('c', 8.8, 'flush', 'Flush', 'Flushed')],
    bags: [],
    due: [due('flush', -6, 'overdue', 'Flush', 'every 8 h'), due('site_check', -3.4, 'overdue', 'Check the site', 'every 4 h'), due('need_review', 2, 'soon', 'Still needed?', 'idle 24 h')],
  },
  {
    id: 'w3', bed: '2', patient: 'MBEKI-HALL, Josephine Anne', site: 'left forearm, upper third, 18 G', nurse: 'R. Okoro', placedAt: now - 5.2 * hour, removedAt: null,
    marks: [mark('p', 5.2, 'placed', 'Placed', 'Placed'), check('a', 4, 0), check('b', 3, 0), check('c', 2, 0), check('d', 1, 0), mark('r', 5, 'rate', '60 mL/h', 'Started')],
    bags: [bag('potassium chloride 20 mmol in 1\u202f000 mL', 5, 0.7, 11)],
    due: [due('site_check', 0, 'due', 'Check the site', 'irritant running: every 1 h')],
  },
  {
    id: 'w4', bed: '7', patient: 'OYELARAN, Daniel', site: 'right forearm, lower third, 20 G', nurse: 'R. Okoro', placedAt: now - 44 * hour, removedAt: null,
    marks: [check('a', 6, 0), check('b', 2, 0), mark('e', 6, 'set', 'Set', 'Set changed'), mark('d', 3, 'dressing', 'Dressing', 'Dressing')],
    bags: [bag('compound sodium lactate 1\u202f000 mL', 7, 0.12, 0.9)],
    due: [due('bag_change', 0.9, 'soon', 'Next bag', 'empty about 15:00'), due('site_check', 2, 'later', 'Check the site', 'every 4 h')],
  },
  {
    id: 'w5', bed: '9', patient: 'BRANDT, Liesl', site: 'left hand, back, 22 G', nurse: 'R. Okoro', placedAt: now - 20 * hour, removedAt: now - 1.5 * hour,
    marks: [check('a', 6, 0), check('b', 2, 3, 'Cord, redness'), mark('x', 1.5, 'removed', 'Removed', 'Removed: phlebitis')],
    bags: [{ text: 'x', levels: [{ at: now - 8 * hour, share: 1 }, { at: now - 2 * hour, share: 0.3 }], emptyAt: null }],
    due: [due('after_check', 3, 'later', 'Look again', 'after removal for phlebitis')],
  },
];

const families = ['HOLT', 'IDOWU', 'JANSEN', 'KAUR', 'LUND', 'MORETTI', 'NOVAK', 'OTT', 'PEREIRA', 'QUIST'];
export const manyLines = (count: number): RibbonLine[] =>
  Array.from({ length: count }, (_, i) => {
    const from = ward[i % ward.length] ?? story;
    return { ...from, id: `many-${i}`, bed: String(i + 1), patient: `${families[i % 10] ?? ''}, A`, nurse: 'R. Okoro', placedAt: (from.placedAt ?? now) - (i % 7) * 17 * minute };
  });

export const patient: BannerPatient = {
  family: 'Alderson',
  given: 'Ines',
  number: '0047 1193',
  birth_date: '1948-03-07',
  age_text: '78 y',
  sex: 'female',
  weight: { value: 61, unit: 'kg', text: '61 kg' },
  allergies: ['chlorhexidine (rash)', 'penicillin (anaphylaxis)'],
  allergies_known: true,
  anticoagulant: true,
  restrictions: [{ side: 'right', limb: 'arm', reason: 'fistula_or_graft', note: '', text: 'right arm: fistula' }],
};
export const unknownPatient: BannerPatient = {
  family: 'Unknown',
  given: 'Person B',
  number: 'T-0009',
  sex: 'unknown',
  allergies: [],
  allergies_known: false,
  restrictions: [],
};

export const dropWorking: WorkingOf = {
  name: 'drop rate',
  formula: 'volume × drop factor ÷ time',
  inputs: [
    { name: 'volume', value: '1\u202f000 mL' },
    { name: 'drop factor', value: '20 drops/mL' },
    { name: 'time', value: '8 h' },
  ],
  result: '42 drops/min (41.7)',
  source: { text: 'definition', mark: 'computed' },
};
export const recalledWorking: WorkingOf = {
  name: 'vein flow at the tip',
  formula: 'flow from the table for the region',
  inputs: [{ name: 'region', value: 'forearm, middle third' }],
  result: '20 to 40 mL/min',
  source: { text: 'value from memory', mark: 'memory' },
};

/** Invented: three quarters lost by day 8. */
export const curve = (half: number): CurvePoint[] =>
  Array.from({ length: 24 }, (_, i) => {
    const days = 0.4 + i * 0.37;
    const share = Math.pow(0.5, days / half);
    const spread = 0.02 + 0.011 * i;
    return { days, share, low: Math.max(0, share - spread), high: Math.min(1, share + spread) };
  });
