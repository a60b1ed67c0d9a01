// Every word that the page itself shows, in one place. Numbers with units arrive ready-made from the engine.
import type { AccessLimb, AccessRegion, AccessSide, CareDueState, Mark, Severity } from '../engine/generated/shapes';
import type { Zoom } from '../time/axis';
import { job } from './job_en';
import { care } from './care_en';

const counted = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

const regions: Record<AccessRegion, string> = {
  hand_back: 'back of the hand',
  wrist_back: 'wrist, back',
  wrist_palmar: 'wrist, palm side',
  forearm_lower: 'forearm, lower third',
  forearm_middle: 'forearm, middle third',
  forearm_upper: 'forearm, upper third',
  antecubital: 'bend of the elbow',
  upper_arm: 'upper arm',
  foot: 'top of the foot',
  leg: 'lower leg',
  scalp: 'scalp',
};

const marks: Record<Mark, { short: string; long: string }> = {
  read: { short: 'read at source', long: 'The figure was read in the source itself.' },
  secondary: { short: 'second-hand', long: 'The figure was read in a text that quotes the source.' },
  weak: { short: 'weak: confirm locally', long: 'The evidence is weak. Confirm with local policy before use.' },
  memory: { short: 'from memory: confirm locally', long: 'The figure was recalled, not read. Confirm with local policy before use.' },
  practice: { short: 'common practice, no source', long: 'A custom of the trade without a published source.' },
  computed: { short: 'computed', long: 'Worked out from the inputs shown.' },
};

const dueStates: Record<CareDueState, string> = { later: 'later', soon: 'soon', due: 'due now', overdue: 'overdue' };

export const text = {
  name: 'Dwell',
  months: ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'],
  days: ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'],
  job,
  care,
  skip: 'Skip to the page',

  sections: {
    plan: { name: 'Plan', question: 'Is a peripheral line right for this therapy, and which vein, gauge and length?' },
    place: { name: 'Place', question: 'Am I ready, what comes next, and how long must this dry?' },
    infuse: { name: 'Infuse', question: 'What rate, how many drops a minute, and when is this bag empty?' },
    watch: { name: 'Watch', question: 'Which line needs me next, and is this site still good?' },
    remove: { name: 'Remove', question: 'May it come out, how long do I press, and is the catheter whole?' },
    learn: { name: 'Learn', question: 'How long do our lines last, why do they fail, and did the change help?' },
  },
  navigation: 'Sections',
  notFound: { title: 'No such page', body: 'The address does not name a page here.', back: 'Go to Watch' },

  header: {
    charting: (name: string): string => `Charting: ${name}`,
    nobody: 'Nobody is charting',
    demo: 'Demo ward: invented people',
    demoShort: 'Demo',
    menu: (name: string): string => `${name}: more`,
    ward: (name: string): string => name,
  },
  besides: { begin: 'Begin', handover: 'Handover' },
  connection: {
    onServer: 'All on the server',
    notLooked: 'Not known what waits on this device',
    sending: 'On its way…',
    unreadable: (n: number): string => `${counted(n, 'entry', 'entries')} on this device cannot be opened`,
    onDevice: (n: number): string => `${counted(n, 'entry', 'entries')} on this device only`,
    offlineNothing: 'No connection; nothing waiting',
    refused: (n: number): string => `${counted(n, 'entry needs', 'entries need')} correction`,
  },
  news: {
    label: 'What is to be known about what is shown',
    justNow: 'less than a minute ago',
    ago: (span: string): string => `${span} ago`,
    stood: (when: string, ago: string): string => `As it stood ${when}, ${ago}.`,
    unreached: (when: string, ago: string): string => `As it stood ${when}, ${ago}; the record cannot be reached.`,
    reached: 'The record is reached again.',
    setBack: 'The record stands further back than this device has seen it: it may have been restored from an older copy.',
    given: (n: number): string => `${counted(n, 'entry that it had', 'entries that it had')} from this device ${n === 1 ? 'was' : 'were'} given to it again.`,
    putAway: 'Seen, put away',
  },
  noWard: 'no ward named',
  sharedLimb: 'another line in this limb',
  quoted: (words: string): string => (words.startsWith('“') && words.endsWith('”') ? words : `“${words}”`),
  entry: {
    waiting: 'On this device',
    kept: 'On the server',
    refused: 'Refused by the server: correct it',
  },

  patient: {
    label: (name: string): string => `Patient: ${name}`,
    born: 'Born',
    age: 'Age',
    sex: 'Sex',
    allergies: 'Allergies',
    anticoagulant: 'Anticoagulant',
    sexes: { female: 'Female', male: 'Male', other: 'Other', unknown: 'Unknown' },
    unknown: 'Unknown',
    noneKnown: 'None known',
    yes: 'Yes',
    no: 'No',
    allergiesNotAsked: 'Allergies not asked',
    anticoagulantUnknown: 'Anticoagulant not known',
    cannotReport: 'Cannot say where it hurts',
    fragileSkin: 'Frail skin',
    noWeight: 'weight not recorded',
    bornOn: (day: string): string => `born ${day}`,
    toWard: 'Ward',
    toLine: 'The line',
  },

  regions,
  site: (side: AccessSide, region: AccessRegion): string => `${side === 'left' ? 'Left' : 'Right'} ${regions[region]}`,

  limb: (side: AccessSide, limb: AccessLimb): string => `${side === 'left' ? 'Left' : 'Right'} ${limb === 'head' ? 'side of the head' : limb}`,

  arms: {
    label: 'Arms: choose a site',
    front: 'Palm side',
    back: 'Back of the hand side',
    facing: 'Drawn as the patient faces you: their right arm is on your left.',
    right: 'Right arm',
    left: 'Left arm',
    chosen: (site: string): string => `Chosen: ${site}`,
    none: 'No site chosen. Tap a part of an arm, or pick from the list.',
    byName: 'Pick by name',
    avoidKey: 'avoid',
    avoid: 'avoid: nerves and artery lie close',
    restricted: (reason: string): string => `restricted: ${reason}`,
    restrictedShort: (reason: string): string => `Restricted: ${reason}`,
    current: (what: string): string => `line now: ${what}`,
    past: (what: string): string => `past site: ${what}`,
    veins: 'Veins are drawn where they usually run. Find this patient’s own.',
  },

  ribbon: {
    zoom: 'Time shown',
    zooms: { '12h': '12 h', '24h': '24 h', '3d': '3 d', '7d': '7 d' } satisfies Record<Zoom, string>,
    now: 'now',
    day: (n: number): string => `day ${n}`,
    inPlace: (span: string): string => `in place ${span}`,
    removedAfter: (span: string): string => `removed after ${span}`,
    notPlaced: 'not yet placed',
    lateBy: (span: string): string => `late by ${span}`,
    inTime: (span: string): string => `in ${span}`,
    dueNow: 'due now',
    nothingDue: 'Nothing due',
    dueUnknown: 'What falls due could not be worked out here',
    emptyAt: (time: string): string => `bag empty ${time}`,
    runs: (what: string): string => `running: ${what}`,
    grade: (grade: number): string => `grade ${grade}`,
    unmatched: 'signs match no grade: judge',
    corrected: 'corrected',
    due: (title: string, state: CareDueState, when: string): string => `${title}, ${dueStates[state]}, ${when}`,
    large: 'The story of this line. Left and right arrow keys walk through the marks.',
    asList: 'As a list',
    pick: 'Choose a mark to read it.',
    done: 'Done',
    ahead: 'Ahead',
    by: (author: string): string => `by ${author}`,
    key: 'Key to the marks',
    keys: {
      sound: 'check, grade 0',
      one: 'grade 1',
      two: 'grade 2',
      severe: 'grade 3 or more',
      unmatched: 'no grade fits',
      flush: 'flush',
      dressing: 'dressing',
      rate: 'rate',
      set: 'set',
      problem: 'problem',
      due: 'due',
      overdue: 'overdue',
    },
  },

  margin: {
    within: (room: string): string => `within the limit, ${room} to spare`,
    within0: 'within the limit',
    over: (by: string): string => `over the limit by ${by}`,
    over0: 'over the limit',
    short: (by: string): string => `below the least by ${by}`,
    short0: 'below the least',
    mayCross: 'may cross the limit',
    limit: (limit: string): string => `limit ${limit}`,
    least: (limit: string): string => `at least ${limit}`,
    between: (low: string, high: string): string => `likely ${low} to ${high}`,
    unknown: 'Unknown: not enough is known to compare',
  },

  working: {
    show: (name: string): string => `Working: ${name}`,
    formula: 'Formula',
    inputs: 'Put in',
    result: 'Comes out',
    source: 'Source',
  },
  marks,

  clock: {
    start: 'Start',
    stop: 'Stop',
    again: 'Start again',
    atLeast: (limit: string): string => `at least ${limit}`,
    atMost: (limit: string): string => `at most ${limit}`,
    idle: 'Not started',
    wait: (span: string): string => `Wait ${span} more`,
    reached: 'Long enough',
    left: (span: string): string => `${span} left`,
    near: (span: string): string => `Only ${span} left`,
    over: (span: string): string => `Over by ${span}: release`,
    stoppedShort: (span: string): string => `Stopped ${span} too early`,
    stoppedOver: (span: string): string => `Stopped ${span} over`,
    stoppedGood: 'Stopped in time',
    startedAt: (time: string): string => `started ${time}`,
  },

  taps: {
    area: 'Tap at each drop',
    count: (n: number): string => counted(n, 'drop', 'drops'),
    since: (span: string): string => `over ${span} s`,
    undo: 'Undo last tap',
    reset: 'Count anew',
    start: 'Tap here, or press the space bar, each time a drop falls.',
  },

  sign: { present: 'Present', absent: 'Not seen' },

  pain: {
    score: (n: number): string => `${n} of 10`,
  },

  field: {
    such: (example: string): string => `such as ${example}`,
    required: 'needed',
    given: (found: string): string => (found === '' ? 'Nothing given' : `“${found}”`),
    expected: (expected: string): string => `expected: ${expected}`,
    heading: (n: number): string => (n === 1 ? 'One thing to put right' : `${n} things to put right`),
  },

  severity: { information: 'Note', caution: 'Caution', stop: 'Stop and think' } satisfies Record<Severity, string>,

  survival: {
    label: (what: string): string => `Curve: ${what}`,
    x: 'days in place',
    y: 'still working',
    band: 'the band is the 95 % interval',
    atDay: (days: number, share: string): string => `day ${days}: ${share}`,
    table: 'The same in numbers',
    percent: (share: number): string => `${Math.round(share * 100)} %`,
    interval: 'Interval',
    group: 'Group',
    days: 'Day',
    share: 'Still working',
  },

  gallery: {
    title: 'Every part, in every state',
    lead: 'For those who build the page. Everyone and everything here is invented.',
  },
} as const;
