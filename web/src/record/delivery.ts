// When the outbox sends: as soon as something waits, and after a failure ever more seldom, or when the server asked for it.
import type { Outbox, Sent } from './outbox';

const waits = [1_000, 2_000, 5_000, 15_000, 30_000] as const;

/** Does something later, in ms. Returns what stops it. */
export type Later = (work: () => void, wait: number) => () => void;
const later: Later = (work, wait) => {
  const timer = setTimeout(work, wait);
  return () => clearTimeout(timer);
};

export class Delivery {
  private failures = 0;
  private stopped = false;
  private again = false;
  private unwait: (() => void) | undefined;
  private running: Promise<void> | undefined;

  constructor(
    private readonly outbox: Outbox,
    /** Told what each run came to; null when this device's own store failed. */
    private readonly told: (sent: Sent | null) => void,
    private readonly inTime: Later = later,
  ) {}

  /** Something waits: it goes now, unless a failure is being waited out. */
  nudge(): Promise<void> {
    this.again = true;
    return this.unwait === undefined ? this.attempt() : Promise.resolve();
  }

  /** Sends now, whatever is being waited for. */
  attempt(): Promise<void> {
    return (this.running ??= this.run());
  }

  stop(): void {
    this.stopped = true;
    this.unwait?.();
  }

  private async run(): Promise<void> {
    this.unwait?.();
    this.unwait = undefined;
    let sent: Sent | null;
    do {
      this.again = false;
      sent = await this.outbox.flush().catch(() => null);
      this.told(sent);
    } while (this.again && sent?.left === 0); // something came while the last were on their way
    this.running = undefined;
    if (sent !== null && (sent.left === 0 || sent.settled > 0)) this.failures = 0;
    if (!this.stopped && sent?.left !== 0) this.wait(sent?.wait ?? 0);
  }

  private wait(asked: number): void {
    const usual = waits[Math.min(this.failures++, waits.length - 1)] ?? 30_000;
    this.unwait = this.inTime(() => {
      this.unwait = undefined;
      void this.attempt();
    }, Math.max(usual, asked));
  }
}
