// The device side under every fault that was thought of, at every place where it waits for something: a write that fails, a
// store that is full, a page that is closed in the middle and opened again, a network that loses the question or the answer.
// One seed is one run, the same each time: DWELL_SEED=17 runs that one alone; DWELL_SEEDS=100000 runs more of them.
import { expect, it } from 'vitest';
import { Delivery } from './delivery';
import { schemaVersion } from './entry';
import type { LineEventIn } from '../engine/generated/shapes';
import { ModelServer, moods, type Mood } from './model_server';
import { Outbox } from './outbox';
import type { Sealed, Sealing } from './sealed';
import type { Kept, Shelf } from './shelf';
import { standingOf, type Exchange } from './standing';

/** mulberry32: small, and the same on every machine. */
function numbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4294967296;
  };
}

interface Waiting {
  tab: number;
  /** Not before; in ms of the simulated clock. */
  at: number;
  go: () => void;
}

interface Tab {
  number: number;
  outbox: Outbox;
  delivery: Delivery;
  exchange: Exchange;
}

class World {
  readonly server = new ModelServer();
  readonly disk = new Map<string, Kept>();
  now = 1_000_000;
  mood: Mood = 'honest';
  /** The share of writes that fail. */
  faults = 0;
  /** What the person was told is safely on the device. */
  readonly promised: string[] = [];
  /** The pages that are open on this device; they share what lies on it. */
  private tabs: Tab[] = [];
  private queue: Waiting[] = [];
  private opened = 0;
  private made = 0;

  constructor(readonly random: () => number) {
    this.opens();
  }

  pick<T>(from: readonly T[]): T {
    const one = from[Math.floor(this.random() * from.length)];
    if (one === undefined) throw new Error('nothing to pick');
    return one;
  }

  /** A place where this tab waits: it goes on when the scheduler says so, or never, when the tab is closed meanwhile. */
  private point(tab: number): Promise<void> {
    return new Promise((go) => this.queue.push({ tab, at: this.now, go }));
  }

  opens(): void {
    const tab = ++this.opened;
    const fails = (): void => {
      if (this.random() < this.faults) throw new DOMException('full or aborted', this.pick(['QuotaExceededError', 'AbortError', 'UnknownError']));
    };
    /** Waits, does it as one transaction or fails, waits until its end is heard. */
    const stored = async <T>(work: () => T, writes: boolean): Promise<T> => {
      await this.point(tab);
      if (writes) fails();
      const done = work();
      await this.point(tab);
      return done;
    };
    const shelf: Shelf = {
      all: () => stored(() => structuredClone([...this.disk.values()]), false),
      add: (rows) => stored(() => rows.forEach((row) => void (this.disk.has(row.id) || this.disk.set(row.id, row))), true),
      change: (id, to) =>
        stored(() => {
          const now = this.disk.get(id);
          const then = now === undefined ? null : to(now);
          if (then === null) this.disk.delete(id);
          else this.disk.set(id, then);
        }, true),
      close: () => undefined,
    };
    const sealing: Sealing = {
      close: async (value) => ({ iv: new Uint8Array(), data: (await this.point(tab), structuredClone(value)) as ArrayBuffer }),
      open: async <T>({ data }: Sealed) => structuredClone(data) as T,
    };
    const send = async (events: LineEventIn[]) => {
      await this.point(tab);
      const reply = await this.server.send(events, this.mood);
      await this.point(tab);
      return reply;
    };
    const outbox = new Outbox(shelf, sealing, send, undefined, () => this.now);
    const delivery = new Delivery(
      outbox,
      (sent) => {
        if (sent !== null && (!sent.answered || sent.settled > 0)) own.exchange = sent.answered ? 'good' : 'failed';
      },
      (work, wait) => {
        const one = { tab, at: this.now + wait, go: work };
        this.queue.push(one);
        return () => void (this.queue = this.queue.filter((other) => other !== one));
      },
    );
    const own: Tab = { number: tab, outbox, delivery, exchange: 'none' };
    outbox.watch(() => void delivery.nudge());
    void delivery.attempt();
    this.tabs.push(own);
  }

  private event(): LineEventIn {
    const id = `0190-${String(++this.made).padStart(6, '0')}`;
    return { id, line: 'l', occurred_at: '', recorded_at: '', author: 'A', device: 'page', schema: schemaVersion, body: { kind: 'noted', text: id } };
  }

  charts(): void {
    const events = Array.from({ length: 1 + Math.floor(this.random() * 4) }, () => this.event());
    for (const { id } of events) {
      const fate = this.random();
      if (fate < 0.08) this.server.poison.add(id);
      else if (fate < 0.16) this.server.refuses.add(id);
    }
    this.pick(this.tabs).outbox.add(events, this.random() < 0.2).then(
      () => this.promised.push(...events.map(({ id }) => id)),
      () => undefined, // the form says so, and holds what was typed
    );
  }

  /** A page is closed, or all of them with a flat battery: nothing of them goes on. One is opened again. */
  reopens(all = false): void {
    const closed = all ? this.tabs : [this.pick(this.tabs)];
    for (const { number, delivery } of closed) {
      this.queue = this.queue.filter(({ tab }) => tab !== number);
      delivery.stop();
    }
    this.tabs = this.tabs.filter((tab) => !closed.includes(tab));
    if (this.tabs.length === 0) this.opens();
  }

  /** Lets one of those who wait go on. The clock moves only when nobody else can. */
  goesOn(): boolean {
    const ready = this.queue.filter(({ at }) => at <= this.now);
    if (ready.length === 0 && this.queue.length > 0) this.now = Math.min(...this.queue.map(({ at }) => at));
    const one = this.queue.filter(({ at }) => at <= this.now);
    if (one.length === 0) return false;
    const chosen = this.pick(one);
    this.queue = this.queue.filter((other) => other !== chosen);
    chosen.go();
    return true;
  }

  check(): void {
    const rows = [...this.disk.values()];
    const seen = new Set(rows.filter(({ status }) => status !== 'kept').map(({ id }) => id));
    const lost = this.promised.filter((id) => !this.server.record.has(id) && !seen.has(id));
    expect(lost).toEqual([]);
    expect(rows.filter(({ id, status }) => status === 'refused' && !this.server.refuses.has(id))).toEqual([]);
    const counts = { waiting: rows.filter(({ status }) => status === 'waiting').length, sending: 0, refused: rows.filter(({ status }) => status === 'refused').length, unreadable: 0 };
    if (this.tabs.some(({ exchange }) => standingOf(counts, exchange) === 'all_there')) expect(this.promised.filter((id) => !this.server.record.has(id))).toEqual([]);
  }

  waits(): string[] {
    return [...this.disk.values()].filter(({ status }) => status === 'waiting').map(({ id }) => id);
  }
}

/** All that was set going by what went on. */
const settled = (): Promise<void> => new Promise((done) => setImmediate(done));

async function simulate(seed: number): Promise<void> {
  const world = new World(numbers(seed));
  for (let step = 0; step < 120; step++) {
    const what = world.random();
    if (what < 0.08) world.charts();
    else if (what < 0.1) world.reopens();
    else if (what < 0.11) world.opens();
    else if (what < 0.2) world.mood = world.random() < 0.4 ? 'honest' : world.pick(moods);
    else if (what < 0.24) world.faults = world.pick([0, 0, 0.1, 0.5, 1]);
    else world.goesOn();
    await settled();
    world.check();
  }
  // Then all is well again: what can be taken is taken, what cannot waits, and nobody asks without end.
  [world.mood, world.faults] = ['honest', 0];
  world.reopens(true);
  const [asked, since] = [world.server.requests, world.now];
  const hopeful = (): string[] => world.waits().filter((id) => !world.server.poison.has(id));
  for (let step = 0; step < 3_000 && hopeful().length > 0; step++) {
    world.goesOn();
    await settled();
    world.check();
  }
  expect(hopeful()).toEqual([]);
  const minutes = (world.now - since) / 60_000;
  expect(world.server.requests - asked).toBeLessThan(60 + 40 * minutes);
}

it('no promise is broken, from any seed', { timeout: 600_000 }, async () => {
  const own = Number(process.env['DWELL_SEED'] ?? 0);
  const seeds = own > 0 ? [own] : Array.from({ length: Number(process.env['DWELL_SEEDS'] ?? 500) }, (_, at) => at + 1);
  for (const seed of seeds)
    await simulate(seed).catch((error: unknown) => {
      throw new Error(`DWELL_SEED=${seed} shows it again: ${String(error)}`, { cause: error });
    });
});
