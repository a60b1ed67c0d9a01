// How many of a list share what is looked at.
export function countBy<Item>(items: Iterable<Item>, keyOf: (item: Item) => string): Map<string, number> {
  const counts = new Map<string, number>();
  for (const item of items) counts.set(keyOf(item), (counts.get(keyOf(item)) ?? 0) + 1);
  return counts;
}
