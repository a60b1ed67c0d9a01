// What has been done so far while placing one line: kept on this device, so that an interruption loses nothing.

import { forget, keep, readKept } from '../record/kept';

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

const fresh = (): Placing => ({
  step: 0, ticked: {}, clocks: {}, antiseptic: '', catheter: '', supplies: [], bloodReturn: null, flushed: '5 mL',
  dressing: 'film', securement: '', emergency: false, tolerance: '', teaching: '', deviation: '',
  prefers: '', writes: '', earlier: '', numbing: '', samples: false, drawn: '', origin: 'here',
});
export const readPlacing = (line: string): Placing => ({ ...fresh(), ...readKept<Partial<Placing>>('placing', line) });
export const keepPlacing = (line: string, placing: Placing): void => keep('placing', line, placing);
export const forgetPlacing = (line: string): void => forget('placing', line);
