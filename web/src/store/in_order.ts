// The ward's list in the order that somebody asked for. The engine gives it most urgent first.
import type { CareLineDue } from '../engine/generated/shapes';

export const orders = ['urgency', 'bed', 'nurse'] as const;
export type Order = (typeof orders)[number];

const byName = new Intl.Collator(undefined, { numeric: true }); // bed 9 before bed 10

/** Within a bed, and within a nurse, the most urgent first; the lines that nobody looks after before all others. */
export function inOrder(due: readonly CareLineDue[], order: Order, unitOf: (line: string) => string): readonly CareLineDue[] {
  switch (order) {
    case 'urgency':
      return due;
    case 'bed':
      return due.toSorted((a, b) => byName.compare(unitOf(a.line), unitOf(b.line)) || byName.compare(a.bed, b.bed));
    case 'nurse':
      return due.toSorted((a, b) => byName.compare(a.nurse, b.nurse));
  }
}
