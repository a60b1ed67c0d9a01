// The words of the sums that a nurse asks for now and then. Given out by sums.ts.
export const sums = {
  title: 'More sums',
  lead: 'Each shows its formula and source. Nothing here is charted.',
  work: 'Work it out',
  choose: 'Choose',
  openLine: {
    title: 'What the open line gives',
    lead: 'Only while plain fluid runs and a minute of it does no harm: never with a medicine or potassium in the bag, never in small children. Open the clamp fully, count for a minute, set it back. One count shows this set and this vein; a second at another height shows what holds it back.',
    catheter: 'Catheter', declared: 'Flow on its pack, if at hand', set: 'Giving set', sets: { ward: 'Ward set', wide: 'Blood, theatre or trauma set' },
    height: 'Bag above the site', cuff: 'Pressure sleeve, if any', count: 'Count, clamp fully open', again: 'Count at another height',
    flow: 'Counted', countHeight: 'Bag above the site at this count',
    take: (flow: string): string => `Take the count above: ${flow}`,
    usual: 'Usual for this line', byCount: 'By the count', to: (low: string, high: string): string => `${low} to ${high}`,
    before: 'Usual:', after: 'By the count:',
    asSaline: (fluid: string): string => `The viscosity of ${fluid} is not on the ward’s list: reckoned as saline.`,
  },
  push: {
    title: 'Push a dose by hand', lead: 'Volume steps on a clock.',
    volume: 'Volume in the syringe', over: 'Over', step: 'Step', dose: 'Dose in it, if a limit is known', highest: 'Not faster than',
    medicine: 'Medicine, as the list names it', weight: 'Weight',
    at: (when: string, given: string): string => `${when}: ${given} given`,
  },
  secondary: {
    title: 'A second bag through the line', lead: 'Who runs first, and when all is done.',
    primaryLeft: 'Left in the primary', primaryFlow: 'Primary rate', volume: 'Secondary volume', flow: 'Secondary rate',
    mode: 'How they run', modes: { primary_waits: 'The primary waits', together: 'Both together' }, gravity: 'By gravity',
  },
  transfusion: {
    title: 'A unit of blood', lead: 'Slow start, then the rate, and the hours it may hang.',
    volume: 'Volume of the unit', over: 'Over', factor: 'Drop factor', weight: 'Weight',
    age: 'Age', ages: { unknown: 'Not said', neonate: 'Newborn', infant: 'Infant', child: 'Child', adult: 'Adult', older_adult: 'Older adult' },
    first: (flow: string, volume: string): string => `First ${flow}, until ${volume} is in`,
    then: (flow: string, time: string): string => `Then ${flow} for ${time}`,
  },
  dilution: {
    title: 'Thin and slow a medicine', lead: 'Least volume and least time where the ward’s list has a limit.',
    medicine: 'Medicine', dose: 'Dose', volume: 'Made up to, if ordered', duration: 'Over, if ordered',
    restricted: 'Fluid-restricted, by order', frail: 'Older, or heart disease', diluent: 'Made up in', syringe: 'In one syringe',
  },
  deficit: {
    title: 'Water missing, by percent', lead: 'The weight before the illness tells more than any sign.',
    weight: 'Weight before', share: 'Share missing', given: 'Already given', maintenance: 'Maintenance rate', over: 'Replace over',
  },
  osmolality: {
    title: 'Is this older adult dry?', lead: 'From the serum: skin and mouth do not tell it.',
    sodium: 'Sodium', potassium: 'Potassium', glucose: 'Glucose', urea: 'Urea', measured: 'Measured osmolality, if known',
  },
  forecast: {
    title: 'Sodium over two days', lead: 'If the plan runs and the losses go on. A loss that is none is typed as 0 mL/h. Measure again within hours.',
    sodium: 'Serum sodium', weight: 'Weight', group: 'Body water as in',
    groups: { child: 'a child', man: 'a man', woman: 'a woman', older_man: 'an older man', older_woman: 'an older woman' },
    flow: 'Rate of the infusion', cations: 'Its sodium and potassium together',
    urine: 'Urine', urineCations: 'Sodium and potassium of the urine', insensible: 'Breath and skin',
    streams: { infusion: 'infusion', urine: 'urine', insensible: 'breath and skin, taken as pure water' },
    row: (at: string, sodium: string, other: string): string => `After ${at}: ${sodium} (other form ${other})`,
  },
  kidney: {
    title: 'Kidney function', lead: 'One figure for doses, one for stages.',
    age: 'Age in years', weight: 'Weight', sex: 'Formula for', sexes: { female: 'women', male: 'men' }, creatinine: 'Creatinine', creatinineHint: '1.2 mg/dL or 106 micromol/L',
  },
  size: { title: 'Body size', lead: 'Surface, ideal weight, body water.', height: 'Height', weight: 'Weight', age: 'Age in years', sex: 'Formula for' },
  tip: {
    title: 'After flashback', lead: 'How far on, and how much room to the far wall.',
    vein: 'Width of the vein', angle: 'Angle of entry in degrees', lead2: 'From the needle’s point to the catheter’s edge', lowered: 'Angle after lowering',
  },
} as const;

export const difficulty = {
  title: 'Will this vein be hard to enter?',
  lead: 'A published scale, in our words. What is not answered counts as unknown.',
  scale: 'Scale',
  points: (least: number, most: number): string => (least === most ? `${least} ${least === 1 ? 'point' : 'points'}` : `${least} to ${most} points`),
  band: (name: string): string => `Group: ${name}`,
  success: (share: string): string => `First attempts that succeed: at most ${share}`,
  unanswered: 'Not answered',
} as const;
