// What is typed or ticked and not yet charted, kept sealed on this device: a reload, a step back, a call bell or a flat
// battery loses nothing. It is kept for the one who typed it, for a shift at most, and leaves the device once charted.
import { session } from '../shell/session.svelte';
import { moment } from '../time/clock';
import { storeOfThisDevice, type Seen } from './snapshot';

const shift = 12 * 3_600_000;

const openStore = storeOfThisDevice('dwell-typed');

/** Whose work on what it is must not lie open either. */
async function hidden(part: string): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', new TextEncoder().encode(part));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** What a form holds, brought back when it is opened again. Made once, while its component is set up. */
export class Typed<T> {
  /** When what stands in the form was typed; null when nothing was brought back. */
  since = $state<number | null>(null);
  private ready = $state(false);
  private readonly part: Promise<string>;
  private readonly empty: string;
  private last: string;
  private writing: Promise<unknown> = Promise.resolve();

  /** `work` names the form and, where there is one, its line. `put` fills the form. */
  constructor(work: string, private readonly read: () => T, private readonly put: (typed: T) => void) {
    this.part = hidden(`${work}/${session.person ?? ''}`);
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

  /** It was charted: what stands in the form is no longer this device's to keep. */
  forget(): void {
    this.since = null;
    this.keep(this.empty, this.now());
  }

  private now(): string {
    return JSON.stringify(this.read());
  }

  private async bringBack(): Promise<void> {
    const seen = await this.kept().catch(() => null);
    // Who was faster than the store goes on with what they typed.
    if (seen !== null && this.now() === this.empty) {
      this.put(seen.value);
      this.since = seen.at;
      this.last = this.now();
    }
    this.ready = true;
  }

  private async kept(): Promise<Seen<T> | null> {
    const opened = await openStore();
    await opened.forgetBefore(moment() - shift);
    return opened.read<T>(await this.part);
  }

  private keep(now: string, last = now): void {
    this.last = last;
    const isEmpty = now === this.empty;
    this.writing = this.writing
      .then(openStore)
      .then(async (opened) => (isEmpty ? opened.forget(await this.part) : opened.keep(await this.part, JSON.parse(now), moment())))
      .catch(() => undefined); // a device that keeps nothing still charts
  }
}
