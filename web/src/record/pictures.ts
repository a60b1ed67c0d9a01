// Pictures taken without a network: sealed on this device until the server has them, then forgotten here.
import { blake2b } from '@noble/hashes/blake2.js';
import { bytesToHex } from '@noble/hashes/utils.js';
import { storeOfThisDevice } from './snapshot';

interface Kept {
  type: string;
  base64: string;
}

/** The name under which the record keeps a picture: BLAKE2b-256 of its bytes, 64 hex digits. */
export const nameOf = (bytes: Uint8Array): string => bytesToHex(blake2b(bytes, { dkLen: 32 }));

const openStore = storeOfThisDevice('dwell-pictures');

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
