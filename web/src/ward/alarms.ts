// Which first responses are asked for and not answered: as the engine's due items have them, gravest first. They come from the
// record, so that a reload or another device finds the same.
import type { CareDueItem } from '../engine/generated/shapes';
import type { DueHere } from './board';

const asks = (item: CareDueItem): boolean => item.task === 'response' || item.task === 'catheter_missing_alarm';

export function cardsAsked(due: DueHere | undefined): string[] {
  const items = (due?.items ?? []).filter(asks);
  return [...new Set(items.flatMap((item) => (item.cards.length === 0 && item.task === 'catheter_missing_alarm' ? ['catheter_fragment'] : item.cards)))];
}
