// The outbox keeps entries on this device until the server has them: through a lost network, a closed page, a flat
// battery. Entries are sent in the order they were made; a resend is harmless because the id comes from here.
//
// An entry is settled only when the server names it. One that the server never names, or chokes on, is passed over and tried
// again later, behind the others and in smaller company, so that it holds up none of them. What the server has stays here for
// some days: a record that was set back to an older copy is offered it again.
import type { FieldError } from '../engine/result';
import { fateOf, type Named, type Reply } from './answer';
import type { Entry, EntryStatus } from './entry';
import type { LineEventIn } from '../engine/generated/shapes';
import type { Sealing } from './sealed';
import type { Kept, Shelf } from './shelf';

/** Sends entries; what came back. */
export type Send = (events: LineEventIn[]) => Promise<Reply>;
/** What must be at the server before an entry is: whether it is there, or why the server does not take it. */
export type Prepare = (event: LineEventIn) => Promise<'ready' | 'later' | FieldError[]>;

/** What lies on this device. `sending`: on its way from a form; `unreadable`: entries that it can no longer open. */
export interface Census {
  waiting: Entry[];
  sending: Entry[];
  refused: Entry[];
  kept: Entry[];
  unreadable: number;
}
/** What a run of sending came to. `wait`: what the server asks to wait, in ms. */
export interface Sent {
  settled: number;
  left: number;
  answered: boolean;
  wait: number | null;
}

export const batchSize = 50;
/** A form that has not heard for so long will not: from then on the entry is sent like any other. In ms. */
export const longestHold = 40_000;
/** So many answers that settle nothing, and a run ends. */
const patience = 12;

const never: Prepare = () => Promise.resolve('ready');
const isPicture = (entry: Entry): boolean => entry.event.body.kind === 'photographed';

export class Outbox {
  private sending: Promise<Sent> | undefined;
  private size = batchSize;
  /** How often an entry was in a batch that came to nothing. Who was in fewer goes first. */
  private readonly blamed = new Map<string, number>();
  private readonly watchers = new Set<() => void>();

  constructor(
    private readonly shelf: Shelf,
    private readonly seal: Sealing,
    private readonly send: Send,
    private readonly prepare: Prepare = never,
    private readonly now: () => number = Date.now,
  ) {}

  /** Resolves once all of them lie safely on this device. `held`: a form sends them itself, and says what came of it. */
  async add(events: LineEventIn[], held = false): Promise<void> {
    const at = this.now();
    const rows = events.map(async (event): Promise<Kept> => {
      const entry: Entry = { id: event.id, event, status: 'waiting', errors: [], queued_at: at, settled_at: null };
      const row: Kept = { id: event.id, status: 'waiting', settled_at: null, sealed: await this.seal.close(entry) };
      return held ? { ...row, held_until: at + longestHold } : row;
    });
    await this.shelf.add(await Promise.all(rows));
    this.tell();
  }

  /** All that lies here, each in the order of making. */
  async census(): Promise<Census> {
    const rows = await this.shelf.all();
    const opened = (await Promise.all(rows.map((row) => this.opened(row)))).flatMap((one) => one ?? []);
    // Version 7 ids rise with time, so their order is the order of making.
    opened.sort((a, b) => (a.id < b.id ? -1 : 1));
    const held = new Set(rows.filter((row) => this.isHeld(row)).map(({ id }) => id));
    const of = (status: EntryStatus, isHeld = false): Entry[] => opened.filter((one) => one.status === status && held.has(one.id) === isHeld);
    return { waiting: of('waiting'), sending: of('waiting', true), refused: of('refused'), kept: of('kept'), unreadable: rows.length - opened.length };
  }

  /** Sends all that waits. Calls made meanwhile share the one run. Rejects only when this device's own store fails. */
  flush(): Promise<Sent> {
    this.sending ??= this.run().finally(() => {
      this.sending = undefined;
    });
    return this.sending;
  }

  /** Settles what an answer names, and nothing else. Returns the ids of those that it settled. */
  async settle(events: LineEventIn[], reply: Named): Promise<string[]> {
    const settled: string[] = [];
    for (const event of events) {
      const fate = fateOf(event.id, reply);
      if (fate === 'open') continue;
      if (fate === 'held') await this.mark(event, 'kept', []);
      else await this.mark(event, 'refused', reply.refused.get(event.id) ?? []);
      settled.push(event.id);
    }
    if (settled.length > 0) this.tell();
    return settled;
  }

  /** The form that was sending these has heard nothing that settles them: from now on they wait like any other. */
  async letGo(events: LineEventIn[]): Promise<void> {
    for (const { id } of events) await this.shelf.change(id, ({ status, settled_at, sealed }) => ({ id, status, settled_at, sealed }));
    this.tell();
  }

  /** The form holds them still, with what was wrong. What the server has meanwhile stays. */
  async withdraw(events: LineEventIn[]): Promise<void> {
    for (const { id } of events) await this.shelf.change(id, (row) => (row.status === 'kept' ? row : null));
    this.tell();
  }

  /** The record stands further back than it did, or lacks these: what it had is offered once more. Returns how many. */
  async offerAgain(which: (entry: Entry) => boolean = () => true): Promise<number> {
    const again = (await this.census()).kept.filter(which);
    for (const entry of again) await this.mark(entry.event, 'waiting', [], 'kept');
    if (again.length > 0) this.tell();
    return again.length;
  }

  /** Forgets kept entries settled before a moment; waiting and refused ones stay. */
  async prune(before: number): Promise<void> {
    const old = (row: Kept): boolean => row.status === 'kept' && (row.settled_at ?? before) < before;
    for (const { id } of (await this.shelf.all()).filter(old)) await this.shelf.change(id, (row) => (old(row) ? null : row));
    this.tell();
  }

  /** Takes back a refused entry after a person has charted it anew. */
  async discardRefused(id: string): Promise<void> {
    await this.shelf.change(id, (row) => (row.status === 'refused' ? null : row));
    this.tell();
  }

  watch(watcher: () => void): () => void {
    this.watchers.add(watcher);
    return () => this.watchers.delete(watcher);
  }

  close(): void {
    this.shelf.close();
  }

  private async run(): Promise<Sent> {
    const passed = new Set<string>();
    let settled = 0;
    let answered = true;
    let wait: number | null = null;
    for (let useless = 0; useless < patience; ) {
      const batch = await this.nextBatch(passed);
      if (batch.length === 0) break;
      const reply = await this.offer(batch, passed);
      answered = reply.kind === 'named';
      const now = reply.kind === 'named' ? await this.settle(batch.map((entry) => entry.event), reply) : [];
      settled += now.length;
      this.learn(batch, new Set(now));
      if (reply.kind === 'none') {
        wait = reply.retryAfter;
        break;
      }
      if (now.length === 0) useless++;
      // Who was named by a good answer had their turn; of a batch that came to nothing only one that was alone.
      if (reply.kind === 'named' || batch.length === 1) batch.forEach((entry) => passed.add(entry.id));
    }
    return { settled, left: (await this.shelf.all()).filter((row) => row.status === 'waiting').length, answered, wait };
  }

  /** The next to be sent: those first that were in no batch that came to nothing, pictures behind. */
  private async nextBatch(passed: ReadonlySet<string>): Promise<Entry[]> {
    const due = (await this.shelf.all()).filter((row) => row.status === 'waiting' && !passed.has(row.id) && !this.isHeld(row));
    const blame = (id: string): number => this.blamed.get(id) ?? 0;
    const opened = (await Promise.all(due.map((row) => this.opened(row)))).flatMap((one) => one ?? []);
    opened.sort((a, b) => blame(a.id) - blame(b.id) || Number(isPicture(a)) - Number(isPicture(b)) || (a.id < b.id ? -1 : 1));
    return opened.slice(0, this.size);
  }

  /** A form is sending it. A clock that was set holds nothing up. */
  private isHeld({ held_until: until = 0 }: Kept): boolean {
    const now = this.now();
    return until > now && until <= now + longestHold;
  }

  /** Sends those of a batch that are ready; the answer of all. */
  private async offer(batch: Entry[], passed: Set<string>): Promise<Reply> {
    const ready: LineEventIn[] = [];
    const refused = new Map<string, FieldError[]>();
    for (const { event } of batch) {
      const is = await this.prepare(event).catch(() => 'later' as const);
      if (is === 'ready') ready.push(event);
      else if (is === 'later') passed.add(event.id);
      else refused.set(event.id, is);
    }
    if (ready.length === 0) return refused.size > 0 ? { kind: 'named', sequence: 0, held: new Set(), written: new Set(), refused, said: [] } : { kind: 'unclear' };
    const reply = await this.send(ready).catch((): Reply => ({ kind: 'none', retryAfter: null }));
    return reply.kind === 'named' ? { ...reply, refused: new Map([...reply.refused, ...refused]) } : reply;
  }

  /** Smaller company after a batch that came to nothing, larger again after one that got through. */
  private learn(batch: Entry[], settled: ReadonlySet<string>): void {
    for (const { id } of batch) {
      if (settled.has(id)) this.blamed.delete(id);
      else this.blamed.set(id, (this.blamed.get(id) ?? 0) + 1);
    }
    this.size = settled.size > 0 ? Math.min(batchSize, this.size * 2) : Math.max(1, Math.ceil(Math.min(this.size, batch.length) / 2));
  }

  /** Only an entry that still stands as it was thought to is marked: what the server has is never made refused. */
  private async mark(event: LineEventIn, status: EntryStatus, errors: FieldError[], from: EntryStatus = 'waiting'): Promise<void> {
    const at = status === 'waiting' ? null : this.now();
    const sealed = await this.seal.close({ id: event.id, event, status, errors, queued_at: this.now(), settled_at: at } satisfies Entry);
    await this.shelf.change(event.id, (row) => (row.status === from ? { id: row.id, status, settled_at: at, sealed } : row));
  }

  private async opened(row: Kept): Promise<Entry | null> {
    const entry = await this.seal.open<Entry>(row.sealed).catch(() => null);
    return entry === null ? null : { ...entry, status: row.status };
  }

  private tell(): void {
    for (const watcher of this.watchers) watcher();
  }
}
