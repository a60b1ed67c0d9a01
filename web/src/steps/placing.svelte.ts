// What has been done so far while placing one line: kept sealed on this device, so that an interruption loses nothing.

export interface TakenSupply {
  what: string;
  gtin?: string;
  lot?: string;
  expiry?: string;
  reason?: string;
}
export interface Placing {
  step: number;
  ticked: Record<string, boolean>;
  clocks: Record<string, { startedAt: number | null; stoppedAt: number | null }>;
  antiseptic: string;
  /** Empty: as planned. */
  catheter: string;
  supplies: TakenSupply[];
  bloodReturn: boolean | null;
  flushed: string;
  dressing: 'film' | 'gauze';
  securement: string;
  emergency: boolean;
  tolerance: string;
  teaching: string;
  deviation: string;
  prefers: '' | 'left' | 'right';
  writes: '' | 'left' | 'right';
  earlier: string;
  numbing: string;
  samples: boolean;
  drawn: string;
  origin: 'here' | 'field' | 'other_hospital' | 'other_unit';
}

export const notBegun = (): Placing => ({
  step: 0, ticked: {}, clocks: {}, antiseptic: '', catheter: '', supplies: [], bloodReturn: null, flushed: '5 mL',
  dressing: 'film', securement: '', emergency: false, tolerance: '', teaching: '', deviation: '',
  prefers: '', writes: '', earlier: '', numbing: '', samples: false, drawn: '', origin: 'here',
});

/** What is worth keeping of it: a clock that was only looked at is none. */
export const worthKeeping = (placing: Placing): Placing => ({
  ...placing,
  clocks: Object.fromEntries(Object.entries(placing.clocks).filter(([, clock]) => clock.startedAt !== null)),
});
