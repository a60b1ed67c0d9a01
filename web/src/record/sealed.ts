// What lies on this device is sealed: AES-GCM with a key that the browser keeps and no script can read out. Who copies the
// files of a lost tablet finds no names in them. It does not stop somebody who opens this very browser: lock the device.
import { openDB, type DBSchema } from 'idb';

export interface Sealed {
  iv: Uint8Array<ArrayBuffer>;
  data: ArrayBuffer;
}

/** What closes and opens. */
export interface Sealing {
  close(value: unknown): Promise<Sealed>;
  open<T>(sealed: Sealed): Promise<T>;
}

interface KeySchema extends DBSchema {
  keys: { key: string; value: CryptoKey };
}

export class Seal implements Sealing {
  private constructor(private readonly key: CryptoKey) {}

  /** The device's own key, made when there is none yet. */
  static async ofThisDevice(name = 'dwell-key'): Promise<Seal> {
    const database = await openDB<KeySchema>(name, 1, { upgrade: (db) => void db.createObjectStore('keys') });
    const made = await Seal.freshKey();
    const change = database.transaction('keys', 'readwrite', { durability: 'strict' });
    const known = await change.store.get('own');
    if (known === undefined) await change.store.put(made, 'own');
    await change.done;
    database.close();
    return new Seal(known ?? made);
  }

  /** A key for this moment only. */
  static async forNow(): Promise<Seal> {
    return new Seal(await Seal.freshKey());
  }

  async close(value: unknown): Promise<Sealed> {
    const iv = crypto.getRandomValues(new Uint8Array(12));
    const data = await crypto.subtle.encrypt({ name: 'AES-GCM', iv }, this.key, new TextEncoder().encode(JSON.stringify(value)));
    return { iv, data };
  }

  /** Rejects what was sealed with another key, or changed. */
  async open<T>(sealed: Sealed): Promise<T> {
    const text = await crypto.subtle.decrypt({ name: 'AES-GCM', iv: sealed.iv }, this.key, sealed.data);
    return JSON.parse(new TextDecoder().decode(text)) as T;
  }

  private static freshKey(): Promise<CryptoKey> {
    return crypto.subtle.generateKey({ name: 'AES-GCM', length: 256 }, false, ['encrypt', 'decrypt']);
  }
}
