// Which of the codes in sight is news. A pack held before the camera is read five times a second, and told once.
import type { Found } from './reader';

const forgottenAfter = 3_000;
/** A code that is no element string may be the wrong one of the pack's two: time to turn to the other. */
const patience = 1_000;

/** The same content in a square and in a striped code is the same code. */
const content = (found: Found): string => (found.gs1 ? found.text.slice(3) : found.text);

export class Sightings {
  private readonly seen = new Map<string, { first: number; last: number; told: boolean }>();
  private elementStringAt = -Infinity;

  /** `found` as the reader orders it; only the first counts. Returns its text when it has not been told yet. */
  news(found: readonly Found[], at: number): string | null {
    const one = found[0];
    if (one === undefined) return null;
    const before = this.seen.get(content(one));
    const inSight = before !== undefined && at - before.last < forgottenAfter;
    const sighting = inSight ? { ...before, last: at } : { first: at, last: at, told: false };
    this.seen.set(content(one), sighting);
    if (one.gs1) this.elementStringAt = at;
    else if (at - sighting.first < patience || at - this.elementStringAt < forgottenAfter) return null;
    if (sighting.told) return null;
    sighting.told = true;
    return one.text;
  }
}
