// Our own drawing of a site and of each sign at it: a piece of forearm with its vein and the catheter in it. Not to scale.

/** How a layer is drawn; the colours come with the theme, and each sign has a shape of its own beside its colour. */
export type Look = 'skin' | 'red' | 'redline' | 'rededge' | 'ink' | 'inkfill' | 'pus' | 'fluid' | 'cold' | 'pale' | 'bruise' | 'stain' | 'dots';

export interface Layer {
  path: string;
  look: Look;
}

export const box = '0 -12 96 76';
export const skin = 'M0 12C24 8 72 8 96 12V52C72 56 24 56 0 52Z';
export const edges = 'M0 12C24 8 72 8 96 12M0 52C24 56 72 56 96 52';
export const vein = 'M0 34C20 30 40 36 60 32S88 30 96 33';
export const hub = 'M4 15L15 12L22 22L12 27Z';
export const tube = 'M18 24L36 33L56 32';

const around = (radius: number): string => `M${38 - radius} 33a${radius} ${radius} 0 1 0 ${2 * radius} 0a${radius} ${radius} 0 1 0 ${-2 * radius} 0Z`;
const burst = (x: number, y: number, from: number, to: number): string =>
  [0, 1, 2, 3, 4, 5, 6, 7]
    .map((nth) => (nth * Math.PI) / 4)
    .map((angle) => `M${(x + from * Math.cos(angle)).toFixed(1)} ${(y + from * Math.sin(angle)).toFixed(1)}L${(x + to * Math.cos(angle)).toFixed(1)} ${(y + to * Math.sin(angle)).toFixed(1)}`)
    .join('');
const drop = (x: number, y: number): string => `M${x} ${y}c3 4 4 6 4 8a4 4 0 0 1-8 0c0-2 1-4 4-8Z`;
const blotch = 'M25 29C27 21 40 20 47 25S56 38 47 43S30 46 25 40S23 34 25 29Z';

/** A swelling rises over the edge of the arm; the wider it is, the further. */
export function swellingOf(centimetres: number | undefined): Layer[] {
  const half = Math.min(36, 16 + 1.6 * (centimetres ?? 2));
  const rise = Math.min(20, 8 + 0.8 * (centimetres ?? 2));
  const left = Math.max(1, 38 - half).toFixed(1);
  const right = Math.min(95, 38 + half).toFixed(1);
  return [{ path: `M${left} 12C${left} ${(11 - rise).toFixed(1)} ${right} ${(11 - rise).toFixed(1)} ${right} 11`, look: 'skin' }];
}

/** By the name that the engine gives a sign; what comes first lies below. */
export const drawings: Record<string, Layer[]> = {
  swelling: swellingOf(undefined),
  blanching: [{ path: around(17), look: 'pale' }],
  redness: [{ path: around(14), look: 'red' }],
  bruising: [{ path: blotch, look: 'bruise' }],
  discolouration: [{ path: blotch, look: 'stain' }, { path: 'M28 40L40 23M34 44L48 26M42 44L52 31', look: 'ink' }],
  streak: [{ path: 'M38 33C54 36 70 30 94 32', look: 'redline' }],
  palpable_cord: [{ path: 'M44 33q5-7 10 0t10-1t10-1t10 1', look: 'inkfill' }],
  induration: [{ path: 'M27 27L36 42M31 22L43 44M38 20L49 40M46 22L53 34', look: 'ink' }],
  warmth: [{ path: 'M30 7c-3-4 3-5 0-9s3-5 0-9M40 7c-3-4 3-5 0-9s3-5 0-9M50 7c-3-4 3-5 0-9s3-5 0-9', look: 'rededge' }],
  coolness: [{ path: 'M74-10v14M68-6.5l12 7M68 .5l12-7M71-9l3 3l3-3M71 3l3-3l3 3', look: 'cold' }],
  tightness: [{ path: 'M26 45H8M13 41L8 45L13 49M52 45H70M65 41L70 45L65 49', look: 'ink' }],
  leaking: [{ path: drop(11, 30) + drop(23, 40), look: 'fluid' }],
  pus: [{ path: drop(36, 22), look: 'pus' }],
  blister_or_skin_loss: [{ path: 'M44 24a9 8 0 0 1 18 0Z', look: 'pale' }, { path: 'M46 29l3 3l3-3l3 3l3-3l3 3', look: 'rededge' }],
  numbness: [{ path: 'M6 44h.01M13 48h.01M20 44h.01M27 48h.01M34 44h.01M41 48h.01', look: 'dots' }],
  poor_circulation: [{ path: 'M62 43H78M73 39L78 43L73 47', look: 'ink' }, { path: 'M84 36V50', look: 'inkfill' }],
  pain_along_path: [{ path: burst(50, 22, 2, 6) + burst(66, 21, 2, 6) + burst(82, 21, 2, 6), look: 'rededge' }],
  pain: [{ path: burst(38, 33, 16, 22), look: 'rededge' }],
  fever: [{ path: 'M86 30V46a5 5 0 1 0 5 0V30a2.5 2.5 0 0 0-5 0Z', look: 'pale' }, { path: 'M88.5 38V49', look: 'redline' }],
};
