// The ward as this device last saw it, sealed, so that a page without a network still shows it, and says how old it is.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import { Seal, type Sealed } from './sealed';

interface SnapshotSchema extends DBSchema {
  parts: { key: string; value: Sealed };
}

export interface Seen<T> {
  at: number;
  value: T;
}

export class Snapshot {
  private constructor(
    private readonly database: IDBPDatabase<SnapshotSchema>,
    private readonly seal: Seal,
  ) {}

  static async open(name: string, seal: Seal): Promise<Snapshot> {
    return new Snapshot(await openDB<SnapshotSchema>(name, 1, { upgrade: (db) => void db.createObjectStore('parts') }), seal);
  }

  async keep(part: string, value: unknown, at = Date.now()): Promise<void> {
    await this.database.put('parts', await this.seal.close({ at, value }), part);
  }

  async forget(part: string): Promise<void> {
    await this.database.delete('parts', part);
  }

  /** What was kept before a moment, and what this device can no longer open; of the parts that are asked about. */
  async forgetBefore(moment: number, asked: (part: string) => boolean = () => true): Promise<void> {
    for (const part of (await this.database.getAllKeys('parts')).filter(asked)) {
      const seen = await this.read<unknown>(part);
      if (seen === null || seen.at < moment) await this.forget(part);
    }
  }

  /** Null when this device has never seen it, or can no longer open it. */
  async read<T>(part: string): Promise<Seen<T> | null> {
    const sealed = await this.database.get('parts', part);
    if (sealed === undefined) return null;
    return this.seal.open<Seen<T>>(sealed).catch(() => null);
  }
}

/** Opens a store of this device when it is first wanted, once; after a failure the next one tries again. */
export function storeOfThisDevice(name: string): () => Promise<Snapshot> {
  let store: Promise<Snapshot> | undefined;
  return () =>
    (store ??= Seal.ofThisDevice()
      .then((seal) => Snapshot.open(name, seal))
      .catch((error: unknown) => {
        store = undefined;
        throw error;
      }));
}
