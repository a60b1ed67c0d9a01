// What was charted, with like entries together: the same fact by the same person in a row is one row.
import type { LineHistoryEntry } from '../engine/generated/shapes';

const isLike = (a: LineHistoryEntry, b: LineHistoryEntry): boolean =>
  !a.corrected && !b.corrected && a.kind === b.kind && a.author === b.author && a.worst_grade === b.worst_grade && a.unmatched === b.unmatched && JSON.stringify(a.text) === JSON.stringify(b.text);

/** Keeps the order; nothing is left out. */
export function likeTogether(entries: readonly LineHistoryEntry[]): LineHistoryEntry[][] {
  const groups: LineHistoryEntry[][] = [];
  for (const entry of entries) {
    const last = groups.at(-1);
    if (last?.[0] !== undefined && isLike(last[0], entry)) last.push(entry);
    else groups.push([entry]);
  }
  return groups;
}
