// A quantity as it goes to the engine: in the words in which it was typed, or with value and unit.

export type QuantityIn = string | number | { value: number; unit: string; text?: string };

/** In its own words, where it has any; the page writes no quantity itself. */
export const wordsOf = (quantity: QuantityIn | null | undefined): string =>
  typeof quantity === 'object' && quantity !== null ? (quantity.text ?? '') : String(quantity ?? '');
