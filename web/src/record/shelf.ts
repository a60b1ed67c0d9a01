// Where the outbox keeps its entries on this device. Behind one small seam, so that a simulation can let every write fail.
import { openDB, type DBSchema } from 'idb';
import type { EntryStatus } from './entry';
import type { Sealed } from './sealed';

/** What lies on the device of one entry: what it says is sealed; only what is needed to send it lies open. */
export interface Kept {
  id: string;
  status: EntryStatus;
  settled_at: number | null;
  /** A form is sending it: until this moment nothing else does. */
  held_until?: number;
  sealed: Sealed;
}

export interface Shelf {
  all(): Promise<Kept[]>;
  /** All of them lie safely on the device, or none does and it rejects. One that lies there already stays as it is. */
  add(rows: Kept[]): Promise<void>;
  /** Changes a row as it stands at that moment, whoever else changes it; null takes it away. A row that is gone stays gone. */
  change(id: string, to: (now: Kept) => Kept | null): Promise<void>;
  close(): void;
}

interface OutboxSchema extends DBSchema {
  entries: { key: string; value: Kept; indexes: { status: string } };
}

/** The shelf in the browser's own database. */
export async function shelfOfThisDevice(name: string): Promise<Shelf> {
  const database = await openDB<OutboxSchema>(name, 1, {
    upgrade(db) {
      db.createObjectStore('entries', { keyPath: 'id' }).createIndex('status', 'status');
    },
  });
  const writing = () => database.transaction('entries', 'readwrite', { durability: 'strict' });
  return {
    all: () => database.getAll('entries'),
    async add(rows) {
      const change = writing();
      const put = rows.map(async (row) => ((await change.store.getKey(row.id)) === undefined ? change.store.put(row) : undefined));
      await Promise.all([...put, change.done]);
    },
    async change(id, to) {
      const change = writing();
      const now = await change.store.get(id);
      if (now !== undefined) {
        const then = to(now);
        await (then === null ? change.store.delete(id) : change.store.put(then));
      }
      await change.done;
    },
    close: () => database.close(),
  };
}
