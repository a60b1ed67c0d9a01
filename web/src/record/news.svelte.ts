// How old what the page shows is, and whatever else the record has to say on every screen. What is shown stood so at one moment:
// the last at which the server looked at the record and found it as the page has it. Older news says so.
import { serverMoment } from '../time/clock';
import { keyOf } from '../text/message';
import type { ServerLookedNews, ServerSaying } from '../engine/generated/shapes';

/** From this age on it is said how old it is. In ms. */
export const tolerated = 60_000;

/** What the server says each time it has looked at the record; null when it is not whole. */
export function readLooked(data: string): ServerLookedNews | null {
  try {
    const { true_at, sequence, reachable } = JSON.parse(data) as Partial<ServerLookedNews>;
    const isWhole = typeof true_at === 'string' && !Number.isNaN(Date.parse(true_at)) && typeof sequence === 'number' && typeof reachable === 'boolean';
    return isWhole ? { true_at, sequence, reachable } : null;
  } catch {
    return null;
  }
}

/** What stood at a moment is old from `tolerated` on, and at once when the record cannot be reached. */
export const isOldNews = (stoodAt: number, now: number, reachable: boolean): boolean => !reachable || !(now - stoodAt <= tolerated);

class News {
  /** What is shown was so at this moment, by the server's clock; null while nothing is shown. */
  stoodAt = $state<number | null>(null);
  /** Where the record stood then. */
  sequence = $state(0);
  now = $state(serverMoment());
  private answered = $state(true);
  private looked = $state(true);
  /** The record was last seen then, when it could no longer be reached. */
  private unreachedSince = -Infinity;
  readonly reachable = $derived(this.answered && this.looked);
  readonly age = $derived(this.stoodAt === null ? 0 : Math.max(0, this.now - this.stoodAt));
  readonly isOld = $derived(this.stoodAt !== null && isOldNews(this.stoodAt, this.now, this.reachable));
  /** What the server said of entries that it kept, until somebody has put it away. */
  said = $state.raw<ServerSaying[]>([]);
  /** What is not proven of the record, in the server's words; empty when nothing is. */
  proof = $state('');
  /** The record was found to stand further back than this device has seen it. `given`: how many entries it was given again. */
  setBack = $state.raw<{ given: number } | null>(null);

  /** The page shows the record as it stood then. */
  shows(stoodAt: number, sequence: number): void {
    this.stoodAt = stoodAt;
    this.sequence = sequence;
    this.answered = true;
    if (stoodAt > this.unreachedSince) this.looked = true;
    this.tick();
  }

  /** The server has looked. Whether the record stands elsewhere than what is shown, if anything is. */
  hears({ true_at, sequence, reachable }: ServerLookedNews): boolean {
    this.looked = reachable;
    if (!reachable) this.unreachedSince = Date.parse(true_at);
    const isSame = sequence === this.sequence;
    if (isSame && this.stoodAt !== null) this.stoodAt = Math.max(this.stoodAt, Date.parse(true_at));
    this.tick();
    return !isSame && this.stoodAt !== null;
  }

  /** The server does not answer. */
  lost(): void {
    this.answered = false;
    this.tick();
  }

  tick(): void {
    this.now = serverMoment();
  }

  takeIn(said: ServerSaying[]): void {
    const known = new Set(this.said.map((one) => one.id + one.path + keyOf(one.text)));
    const fresh = said.filter((one) => !known.has(one.id + one.path + keyOf(one.text)));
    if (fresh.length > 0) this.said = [...this.said, ...fresh];
  }

  putAway(saying: ServerSaying): void {
    this.said = this.said.filter((one) => one !== saying);
  }
}

export const news = new News();
