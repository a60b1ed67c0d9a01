import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { forgetPicture, keepPicture, nameOf, readPicture } from './pictures';

it('names a picture as the record does', () => {
  // BLAKE2b-256 of the empty string and of "abc", as the reference program b2sum -l 256 gives them.
  expect(nameOf(new Uint8Array())).toBe('0e5751c026e543b2e8ab2eb06099daa1d1e5df47778f7787faab45cdf12fe3a8');
  expect(nameOf(new TextEncoder().encode('abc'))).toBe('bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319');
});

it('keeps every byte, and forgets', async () => {
  const bytes = Uint8Array.from({ length: 5_000 }, (_, at) => (at * 31) % 256);
  const name = await keepPicture(new Blob([bytes], { type: 'image/jpeg' }));
  expect(name).toBe(nameOf(bytes));
  const back = await readPicture(name);
  expect(back?.type).toBe('image/jpeg');
  expect(new Uint8Array((await back?.arrayBuffer()) ?? new ArrayBuffer(0))).toEqual(bytes);
  await forgetPicture(name);
  expect(await readPicture(name)).toBeNull();
});
