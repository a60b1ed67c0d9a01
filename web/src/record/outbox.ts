// The outbox keeps entries on this device until the server has them: through a lost network, a closed page, a flat
// battery. Entries are sent in the order they were made; a resend is harmless because the id comes from here. What they
// say is sealed; only what is needed to send them lies open.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { FieldError } from '../engine/result';
import type { Entry, EntryStatus, LineEvent } from './entry';
import type { Seal, Sealed } from './sealed';

/** What the server said about each event sent. Rejects when the server could not be reached. */
export type Send = (events: LineEvent[]) => Promise<{ id: string; errors: FieldError[] }[]>;

interface Kept {
  id: string;
  status: EntryStatus;
  settled_at: number | null;
  sealed: Sealed;
}
interface OutboxSchema extends DBSchema {
  entries: { key: string; value: Kept; indexes: { status: string } };
}

export const batchSize = 50;

export class Outbox {
  private sending: Promise<number> | undefined;
  private readonly watchers = new Set<() => void>();

  private constructor(
    private readonly database: IDBPDatabase<OutboxSchema>,
    private readonly seal: Seal,
    private readonly send: Send,
    private readonly now: () => number,
  ) {}

  static async open(name: string, seal: Seal, send: Send, now: () => number = Date.now): Promise<Outbox> {
    const database = await openDB<OutboxSchema>(name, 1, {
      upgrade(db) {
        db.createObjectStore('entries', { keyPath: 'id' }).createIndex('status', 'status');
      },
    });
    return new Outbox(database, seal, send, now);
  }

  /** Resolves once the entry lies safely on this device. */
  async add(event: LineEvent): Promise<Entry> {
    const entry: Entry = { id: event.id, event, status: 'waiting', errors: [], queued_at: this.now(), settled_at: null };
    await this.put(entry);
    this.tell();
    return entry;
  }

  async all(): Promise<Entry[]> {
    return this.opened(await this.database.getAll('entries'));
  }

  async waiting(): Promise<Entry[]> {
    // Version 7 ids rise with time, so key order is the order of making.
    const kept = await this.database.getAllFromIndex('entries', 'status', 'waiting');
    return this.opened(kept.sort((a, b) => (a.id < b.id ? -1 : 1)));
  }

  /** Sends all that waits; returns how many the server settled. Calls made meanwhile share the one run. */
  flush(): Promise<number> {
    this.sending ??= this.run().finally(() => {
      this.sending = undefined;
    });
    return this.sending;
  }

  /** Forgets kept entries settled before a moment; waiting and refused ones stay. */
  async prune(before: number): Promise<void> {
    const kept = await this.database.getAllFromIndex('entries', 'status', 'kept');
    const change = this.database.transaction('entries', 'readwrite');
    for (const entry of kept) if ((entry.settled_at ?? before) < before) await change.store.delete(entry.id);
    await change.done;
    this.tell();
  }

  /** Takes back a refused entry after a person has charted it anew. */
  async discardRefused(id: string): Promise<void> {
    const entry = await this.database.get('entries', id);
    if (entry?.status === 'refused') await this.database.delete('entries', id);
    this.tell();
  }

  watch(watcher: () => void): () => void {
    this.watchers.add(watcher);
    return () => this.watchers.delete(watcher);
  }

  close(): void {
    this.database.close();
  }

  private async run(): Promise<number> {
    let settled = 0;
    for (;;) {
      const batch = (await this.waiting()).slice(0, batchSize);
      if (batch.length === 0) return settled;
      const answers = new Map((await this.send(batch.map((entry) => entry.event))).map((one) => [one.id, one.errors]));
      const answered = batch.filter((entry) => answers.has(entry.id));
      if (answered.length === 0) throw new Error('the server settled none of the entries sent');
      for (const entry of answered) await this.settle(entry, answers.get(entry.id) ?? []);
      settled += answered.length;
      this.tell();
    }
  }

  private settle(entry: Entry, errors: FieldError[]): Promise<void> {
    const status = errors.length > 0 ? 'refused' : 'kept';
    return this.put({ ...entry, status, errors, settled_at: this.now() });
  }

  private async put(entry: Entry): Promise<void> {
    const sealed = await this.seal.close(entry);
    const change = this.database.transaction('entries', 'readwrite', { durability: 'strict' });
    await change.store.put({ id: entry.id, status: entry.status, settled_at: entry.settled_at, sealed });
    await change.done;
  }

  private opened(kept: Kept[]): Promise<Entry[]> {
    return Promise.all(kept.map((one) => this.seal.open<Entry>(one.sealed)));
  }

  private tell(): void {
    for (const watcher of this.watchers) watcher();
  }
}
