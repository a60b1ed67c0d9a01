// The six sections, in the hand of the arm drawings: ink line on a field of 32, skin and vein as on the arms.
import type { Section } from '../../shell/route.svelte';

export interface Stroke {
  path: string;
  /** how it is drawn; without a name it is the ink line. */
  look?: string;
}

const forearm: Stroke[] = [
  { path: 'M1 12C9 9.6 23 9.6 31 12V27C23 29.4 9 29.4 1 27Z', look: 'skin' },
  { path: 'M1 20C9 18.4 21 21.6 31 19', look: 'vein' },
  { path: 'M1 12C9 9.6 23 9.6 31 12M1 27C9 29.4 23 29.4 31 27' },
];

export const sectionDrawings: Record<Section, Stroke[]> = {
  plan: [
    { path: 'M7 2C6.4 11 8 20 10.6 30H21.4C24 20 25.6 11 25 2Z', look: 'skin' },
    { path: 'M12.4 2C12 9 14.6 13 15 18C15.3 22 15.2 26 15 30M20.4 2C20.4 8 17.4 11 15.2 16', look: 'vein' },
    { path: 'M7 2C6.4 11 8 20 10.6 30M25 2C25.6 11 24 20 21.4 30' },
    { path: 'M9.6 17a5.4 5.4 0 1 0 10.8 0a5.4 5.4 0 1 0 -10.8 0Z', look: 'dash' },
  ],
  place: [
    { path: 'M1 16C9 13.4 23 13.4 31 16V29C23 31.4 9 31.4 1 29Z', look: 'skin' },
    { path: 'M1 23.4C10 21.6 20 25 31 22.6', look: 'vein' },
    { path: 'M1 16C9 13.4 23 13.4 31 16M1 29C9 31.4 23 31.4 31 29' },
    { path: 'M2.6 5.4L6.6 2L13.4 9.2L10 12.2Z', look: 'paper' },
    { path: 'M12 11L20 20.6L25.5 23.2' },
  ],
  infuse: [
    { path: 'M9.6 17.4H22.4V21.5C22.4 25.6 19.6 27 16 27S9.6 25.6 9.6 21.5Z', look: 'wet' },
    { path: 'M16 1V4.6M9.6 5H22.4V21.5C22.4 25.6 19.6 27 16 27S9.6 25.6 9.6 21.5ZM16 27V31M7.4 5H24.6' },
    { path: 'M9.6 17.4H22.4', look: 'thin' },
    { path: 'M16 8C18.4 11.2 18.4 12 18.4 12.6A2.4 2.4 0 0 1 13.6 12.6C13.6 12 13.6 11.2 16 8Z', look: 'drop' },
  ],
  watch: [
    ...forearm,
    { path: 'M8 13.6L12.2 12.6L14.6 16L10.8 17.8Z', look: 'paper' },
    { path: 'M13.4 17L19 19.8L24 19.6' },
    { path: 'M5.4 7.4H26.6V24.6H10.4L5.4 20.4Z', look: 'dash' },
  ],
  remove: [
    { path: 'M2.4 5.4L9.6 6.8V11.2L2.4 12.6Z', look: 'paper' },
    { path: 'M9.6 9H28.6' },
    { path: 'M2.4 18H29.6V28H2.4Z', look: 'paper' },
    { path: 'M7 18V23M11.5 18V21M16 18V23M20.5 18V21M25 18V23', look: 'thin' },
    { path: 'M28.6 12V17', look: 'thin dash' },
  ],
  learn: [
    { path: 'M3 3.4H29V8H3ZM3 11H22V15.6H3ZM3 18.6H15V23.2H3ZM3 26.2H9V30.8H3Z', look: 'paper' },
    { path: 'M29 8V11H22M22 15.6V18.6H15M15 23.2V26.2H9', look: 'thin dash' },
  ],
};
