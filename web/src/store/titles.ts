// What things of the ward's lists are called where they are shown, records keep their names; and how it writes numbers.
import { numbers } from '../text/digits';
import { lists, titleOf } from '../text/text';
import { ward } from './ward.svelte';

/** A fluid or medicine; one that the list lacks is called as somebody called it. */
export function fluidTitle(name: string): string {
  const entry = ward.library?.infusates[name];
  return entry?.title === undefined ? name : titleOf(entry);
}
export function scaleTitle(name: string): string {
  const scale = ward.library?.policy.scales.find((one) => one.name === name);
  return scale?.title === undefined ? name : titleOf(scale);
}

numbers.decimalSign = () => (ward.library?.policy.decimal_sign?.value === 'comma' ? 'comma' : 'point'); // unknown: a point
lists.titleOf = (name) => (name in (ward.library?.infusates ?? {}) ? fluidTitle(name) : scaleTitle(name));
