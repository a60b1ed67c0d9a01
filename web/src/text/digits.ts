import type { Decimal } from '../engine/engine';

/** How the ward writes decimals; whoever holds its policy tells (ward/titles.ts). */
export const numbers: { decimalSign: () => Decimal } = { decimalSign: () => 'point' };

/** Digits with a decimal point, as the engine writes them, as the ward writes them. */
export const asTheWardWrites = (digits: string, sign: Decimal = numbers.decimalSign()): string => (sign === 'comma' ? digits.replaceAll('.', ',') : digits);

// A number that the page itself puts into words: thousands parted by a narrow no-break space, as the engine parts them,
// because a comma is a decimal sign where Spanish is read; and never "0" for what is not 0.
export function digits(value: number, places = 1): string {
  const format = (options: Intl.NumberFormatOptions): string => new Intl.NumberFormat('en', options).format(value).replaceAll(',', '\u202f');
  const rounded = format({ maximumFractionDigits: places });
  return asTheWardWrites(value !== 0 && !/[1-9]/.test(rounded) ? format({ maximumSignificantDigits: 1 }) : rounded);
}
