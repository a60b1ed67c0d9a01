// What is typed or ticked and not yet charted, kept sealed on this device: a reload, a step back, a call bell or a flat
// battery loses nothing. It is kept for the one who typed it, for a shift at most, and leaves the device once charted.
import { idsInRecord, wasCharted, type Way } from './charting';
import { readKept, forget as forgetPlain } from './kept';
import { shelfOfThisDevice } from './shelf';
import { session } from '../shell/session.svelte';
import { moment } from '../time/clock';
import { storeOfThisDevice, type Seen, type Snapshot } from './snapshot';

const shift = 12 * 3_600_000;

const openStore = storeOfThisDevice('dwell-typed');
/** Work that lay open on the device before it was sealed: it belongs to whoever opens it first. */
const plainWorks = ['placing', 'removing', 'practice'] as const;
const nobody = '';
/** What a form sent lies beside what was typed into it. */
const wayFor = (work: string, person: string): Promise<string> => hidden(`way/${work}/${person}`);
const partFor = (work: string, person: string): Promise<string> => hidden(`${work}/${person}`);

/** Whose work on what it is must not lie open either. */
async function hidden(part: string): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(part));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** What lay open is sealed once, and then removed. */
async function takeOverPlain(): Promise<void> {
  const store = await openStore();
  for (const key of Object.keys(localStorage)) {
    const [, work, line] = /^dwell\.([a-z]+)\.(.+)$/.exec(key) ?? [];
    if (work === undefined || line === undefined || !plainWorks.some((one) => one === work)) continue;
    const value = readKept<unknown>(work, line);
    if (value !== null) await store.keep(await partFor(`${work}/${line}`, nobody), value, moment());
    forgetPlain(work, line);
  }
}
let takenOver: Promise<void> | undefined;

/** Nothing lies open, and nothing longer than a shift. */
export async function tidyTyped(): Promise<void> {
  await (takenOver ??= takeOverPlain().catch(() => void (takenOver = undefined)));
  await (await openStore()).forgetBefore(moment() - shift);
}

/** What a form holds, brought back when it is opened again. Made once, while its component is set up. */
export class Typed<T> {
  /** When what stands in the form was typed; null when nothing was brought back. */
  since = $state<number | null>(null);
  /** Whether what was brought back may have been charted all the same: nobody could be asked. */
  unsure = $state(false);
  /** When what was charted in spite of a page that was closed in the middle was typed; the form is empty again. */
  charted = $state<number | null>(null);
  /** Whether what was typed before has been brought back, or there was nothing. */
  ready = $state(false);
  private readonly part: Promise<string>;
  private readonly way: Promise<string>;
  private readonly unclaimed: Promise<string>;
  private readonly empty: string;
  private last: string;
  private writing: Promise<void> = Promise.resolve();

  /** `work` names the form and, where there is one, its line. `put` fills the form. */
  constructor(work: string, private readonly read: () => T, private readonly put: (typed: T) => void) {
    this.part = partFor(work, session.person ?? nobody);
    this.way = wayFor(work, session.person ?? nobody);
    this.unclaimed = partFor(work, nobody);
    this.empty = this.last = this.now();
    void this.bringBack();
    $effect(() => {
      const now = this.now();
      if (this.ready && now !== this.last) this.keep(now);
    });
  }

  /** An empty form again; nothing of what was typed stays on this device. */
  startAnew(): void {
    this.put(JSON.parse(this.empty) as T);
    this.forget();
  }

  /** What stands in the form is about to be sent: a page that is closed from here on may have charted it. */
  goes(way: Way): Promise<void> {
    return this.write(async (opened) => opened.keep(await this.way, way, moment()));
  }

  /** It was charted: what stands in the form is no longer this device's to keep. */
  forget(): void {
    this.since = this.charted = null;
    this.keep(this.empty, this.now());
  }

  private now(): string {
    return JSON.stringify(this.read());
  }

  private async bringBack(): Promise<void> {
    const seen = await this.kept().catch(() => null);
    const was = seen === null ? false : await this.wasCharted().catch(() => null);
    if (seen !== null && was === true) {
      this.keep(this.empty, this.now());
      this.charted = seen.at;
    } else if (seen !== null && this.now() === this.empty) {
      // (Who was faster than the store goes on with what they typed.)
      this.put(seen.value);
      this.since = seen.at;
      this.unsure = was === null;
      this.last = this.now();
    }
    this.ready = true;
  }

  private async wasCharted(): Promise<boolean | null> {
    const way = await (await openStore()).read<Way>(await this.way);
    if (way === null) return false;
    const here = await shelfOfThisDevice('dwell-outbox');
    try {
      return await wasCharted(way.value, here, idsInRecord);
    } finally {
      here.close();
    }
  }

  private async kept(): Promise<Seen<T> | null> {
    await tidyTyped();
    const opened = await openStore();
    const own = await opened.read<T>(await this.part);
    if (own !== null || (await this.part) === (await this.unclaimed)) return own;
    const found = await opened.read<T>(await this.unclaimed);
    if (found === null) return null;
    await opened.keep(await this.part, found.value, found.at);
    await opened.forget(await this.unclaimed);
    return found;
  }

  private keep(now: string, last = now): void {
    this.last = last;
    const isEmpty = now === this.empty;
    void this.write(async (opened) => {
      await (isEmpty ? opened.forget(await this.part) : opened.keep(await this.part, JSON.parse(now), moment()));
      await opened.forget(await this.way); // what stands here now was not sent
    });
  }

  private write(work: (opened: Snapshot) => Promise<void>): Promise<void> {
    return (this.writing = this.writing.then(openStore).then(work).catch(() => undefined)); // a device that keeps nothing still charts
  }
}
