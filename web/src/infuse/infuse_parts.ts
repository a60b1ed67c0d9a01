// What may be done to what runs through a line, as it stands; and which of it is shown first.
import type { LineState } from '../engine/generated/shapes';

const all = ['rate', 'bag', 'drip', 'flush', 'order', 'end'] as const;
export type Part = (typeof all)[number];

type Infused = Pick<LineState, 'stage' | 'order' | 'running'>;

export function partsOf(line: Infused): Part[] {
  const dwells = line.stage === 'dwelling';
  const runs = line.running !== undefined;
  const may: Record<Part, boolean> = {
    rate: runs,
    bag: dwells && line.order !== undefined,
    drip: runs && line.running?.delivery === 'gravity' && line.running.drop_factor !== undefined,
    flush: dwells,
    order: line.order === undefined && line.stage !== 'closed',
    end: runs,
  };
  return all.filter((part) => may[part]);
}

/** What was asked for, where it may be done; a bag without an order asks for the order. Else what is nearest. */
export function partOf(line: Infused, asked: string | undefined): Part | undefined {
  const parts = partsOf(line);
  if (asked === 'bag' && line.order === undefined) return parts.find((part) => part === 'order');
  return parts.find((part) => part === asked) ?? parts[0];
}
