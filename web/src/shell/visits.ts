// How far the page had been scrolled, visit by visit: a step back leads to the same row, a step on begins at the top.
const places = new Map<number, number>();
let visit = Date.now(); // never a number that an earlier load of the page gave
let latest = visit;

interface Kept {
  visit?: number;
}

/** Follows the scrolling. Returns the stop. */
export function followVisits(): () => void {
  history.scrollRestoration = 'manual';
  history.replaceState({ visit } satisfies Kept, '');
  const hear = (): void => void places.set(visit, scrollY);
  addEventListener('scroll', hear, { passive: true });
  return () => removeEventListener('scroll', hear);
}

/** The address changed: where to scroll to, in px; null for a place that was not visited before. */
export function arrive(): number | null {
  const known = (history.state as Kept | null)?.visit;
  if (known === undefined) {
    visit = ++latest;
    history.replaceState({ visit } satisfies Kept, '');
    return null;
  }
  visit = known;
  return places.get(known) ?? null;
}
