import 'fake-indexeddb/auto';
import { expect, it } from 'vitest';
import { forgetOrphans, forgetPicture, keepPicture, nameOf, readPicture, sendPicture } from './pictures';

const picture = (seed: number): [Uint8Array<ArrayBuffer>, Blob] => {
  const bytes = Uint8Array.from({ length: 5_000 }, (_, at) => (at * 31 + seed) % 256);
  return [bytes, new Blob([bytes], { type: 'image/jpeg' })];
};

it('names a picture as the record does', () => {
  // BLAKE2b-256 of the empty string and of "abc", as the reference program b2sum -l 256 gives them.
  expect(nameOf(new Uint8Array())).toBe('0e5751c026e543b2e8ab2eb06099daa1d1e5df47778f7787faab45cdf12fe3a8');
  expect(nameOf(new TextEncoder().encode('abc'))).toBe('bddd813c634239723171ef3fee98579b94964e3bb1cb3e427262c8c068d52319');
});

it('keeps every byte, and forgets', async () => {
  const [bytes, blob] = picture(0);
  const name = await keepPicture(blob);
  expect(name).toBe(nameOf(bytes));
  const back = await readPicture(name);
  expect(back?.type).toBe('image/jpeg');
  expect(new Uint8Array((await back?.arrayBuffer()) ?? new ArrayBuffer(0))).toEqual(bytes);
  await forgetPicture(name);
  expect(await readPicture(name)).toBeNull();
});

it('leaves the device only when the server has named it', async () => {
  const [, blob] = picture(1);
  const name = await keepPicture(blob);
  const [other] = picture(2);
  const wrong = [{ path: '', found: 'nothing', expected: 'a picture' }];
  const json = (status: number, body: unknown) => async () => new Response(JSON.stringify(body), { status });
  for (const ask of [
    async () => { throw new TypeError('Failed to fetch'); },
    async () => new Response('', { status: 200 }),
    async () => new Response('<html>', { status: 200 }),
    json(200, { ok: true }),
    json(200, { written: [nameOf(other)] }),
    json(200, { written: name }),
    json(201, { written: [name] }),
    json(500, { written: [name] }),
    json(404, { errors: wrong }),
    json(413, '<html>'),
    json(422, { errors: [] }),
  ])
    expect(await sendPicture(name, ask)).toBe('later');
  expect(await sendPicture(name, json(422, { errors: wrong }))).toEqual(wrong);
  expect(await readPicture(name)).not.toBeNull();
  expect(await sendPicture(name, json(200, { written: [name] }))).toBe('ready');
  expect(await readPicture(name)).toBeNull();
});

it('forgets what no entry names, and nothing that one does', async () => {
  const [charted, left] = [await keepPicture(picture(3)[1]), await keepPicture(picture(4)[1])];
  await forgetOrphans(Date.now() - 1_000, new Set());
  expect(await readPicture(left)).not.toBeNull();
  await forgetOrphans(Date.now() + 1_000, new Set([charted]));
  expect([await readPicture(charted), await readPicture(left)].map((one) => one === null)).toEqual([false, true]);
});
