// Pictures on their way: sealed on this device until the server has named them, then forgotten here. What was fetched to be
// looked at is never kept on the device at all.
import { ask as fromPage } from './ask';
import type { Address } from './api';
import { blake2b } from '@noble/hashes/blake2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { isFieldError, type FieldError } from '../engine/result';
import { isListOfWords, isObject, parsed } from './answer';
import { storeOfThisDevice } from './snapshot';

interface Kept {
  type: string;
  base64: string;
}

/** The name under which the record keeps a picture: BLAKE2b-256 of its bytes, 64 hex digits. */
export const nameOf = (bytes: Uint8Array): string => bytesToHex(blake2b(bytes, { dkLen: 32 }));

const openStore = storeOfThisDevice('dwell-pictures');
const patience = 180_000; // a large picture over a slow network

/** Resolves with the picture's name once it lies safely on this device. */
export async function keepPicture(picture: Blob): Promise<string> {
  const bytes = new Uint8Array(await picture.arrayBuffer());
  const name = nameOf(bytes);
  const base64 = btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(''));
  await (await openStore()).keep(name, { type: picture.type, base64 } satisfies Kept);
  return name;
}

/** Null when this device has none of that name. */
export async function readPicture(name: string): Promise<Blob | null> {
  const seen = await (await openStore()).read<Kept>(name);
  if (seen === null) return null;
  return new Blob([Uint8Array.from(atob(seen.value.base64), (letter) => letter.charCodeAt(0))], { type: seen.value.type });
}

export const forgetPicture = async (name: string): Promise<void> => (await openStore()).forget(name);

/** Pictures from before a moment that no entry on its way names: the page was closed before they were charted. */
export const forgetOrphans = async (before: number, named: ReadonlySet<string>): Promise<void> =>
  (await openStore()).forgetBefore(before, (name) => !named.has(name));

/** Why the server does not take a picture, in its own words; null when it was no refusal of this picture. */
function reasonsOf(status: number, said: unknown): FieldError[] | null {
  if (![413, 415, 422].includes(status) || !isObject(said) || !Array.isArray(said['errors'])) return null;
  const errors = said['errors'].filter(isFieldError);
  return errors.length > 0 ? errors : null;
}

/**
 * A picture goes before the entry that names it, and leaves this device only when the server has named it. `ready`: the server
 * has it; `later`: it does not, and nothing is known against it; else why it does not take it.
 */
export async function sendPicture(name: string, ask: typeof fetch = (...args) => fromPage(...args)): Promise<'ready' | 'later' | FieldError[]> {
  const picture = await readPicture(name);
  if (picture === null) return 'ready'; // it was named before
  try {
    const address: Address<'POST /api/photos'> = 'api/photos';
    const answer = await ask(address, { method: 'POST', headers: { 'Content-Type': picture.type }, body: picture, signal: AbortSignal.timeout(patience) });
    const said = parsed(await answer.text());
    const names = isObject(said) ? [said['written'], said['already_there']].flatMap((list) => (isListOfWords(list) ? list : [])) : [];
    if (answer.status !== 200 || !names.includes(name)) return reasonsOf(answer.status, said) ?? 'later';
  } catch {
    return 'later';
  }
  await forgetPicture(name).catch(() => undefined); // it goes with the orphans
  return 'ready';
}
