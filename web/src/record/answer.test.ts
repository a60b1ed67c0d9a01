import { describe, expect, it } from 'vitest';
import { longestWait, postEvents, readAnswer, retryAfterOf } from './answer';

const whole = { ok: true, sequence: 7, written: ['a'], already_there: ['b'], refused: [{ index: 2, id: 'c', errors: [{ path: '/x', found: '', expected: 'y' }] }], said: [{ id: 'a', path: '/p', text: 't' }] };

describe('readAnswer', () => {
  it('reads who is named, at 200 and at 422 alike', () => {
    for (const status of [200, 422]) {
      const named = readAnswer(status, JSON.stringify(whole));
      expect(named).toMatchObject({ sequence: 7, said: [{ text: 't' }] });
      expect([...(named?.held ?? [])]).toEqual(['a', 'b']);
      expect([...(named?.refused.keys() ?? [])]).toEqual(['c']);
    }
  });
  it('is no answer at any other status, in any other shape, or cut anywhere', () => {
    const text = JSON.stringify(whole);
    for (const status of [201, 204, 207, 301, 400, 403, 404, 413, 500]) expect(readAnswer(status, text)).toBeNull();
    for (let at = 0; at < text.length; at++) expect(readAnswer(200, text.slice(0, at))).toBeNull();
    for (const key of ['ok', 'sequence', 'written', 'already_there', 'refused'] as const) {
      const { [key]: _gone, ...rest } = whole;
      expect([key, readAnswer(200, JSON.stringify(rest))]).toEqual([key, null]);
      expect([key, readAnswer(422, JSON.stringify({ ...whole, [key]: 'all' }))]).toEqual([key, null]);
    }
    for (const other of ['', 'null', '[]', '{}', '"ok"', '<html>', '{"ok":true}']) expect(readAnswer(200, other)).toBeNull();
  });
  it('takes no refusal without an id and a reason', () => {
    const refused = [{ index: 0, id: 'a', errors: [] }, { index: 1, id: null, errors: whole.refused[0]?.errors }, { index: 2, id: 'c', errors: ['no'] }, null];
    expect(readAnswer(422, JSON.stringify({ ...whole, refused }))?.refused.size).toBe(0);
  });
});

describe('retryAfterOf', () => {
  // The two forms and the example of RFC 9110 §10.2.3.
  const date = 'Fri, 31 Dec 1999 23:59:59 GMT';
  it('reads seconds and dates', () => {
    expect(retryAfterOf('120', 0)).toBe(120_000);
    expect(retryAfterOf(date, Date.parse(date) - 5_000)).toBe(5_000);
    expect(retryAfterOf(date, Date.parse(date) + 5_000)).toBe(0);
  });
  it('is capped, and nothing when it says nothing', () => {
    expect(retryAfterOf('99999999999', 0)).toBe(longestWait);
    for (const nothing of [null, '', '  ', 'soon']) expect(retryAfterOf(nothing, 0)).toBeNull();
  });
});

it('tells nobody there, later, and unclear apart', async () => {
  const ask = (answer: () => Response) => postEvents('api/events', [], async () => answer());
  expect(await ask(() => { throw new TypeError('Failed to fetch'); })).toEqual({ kind: 'none', retryAfter: null });
  expect(await ask(() => new Response('', { status: 503, headers: { 'Retry-After': '3' } }))).toEqual({ kind: 'none', retryAfter: 3_000 });
  expect(await ask(() => new Response('<html>', { status: 200 }))).toEqual({ kind: 'unclear' });
  expect((await ask(() => new Response(JSON.stringify(whole)))).kind).toBe('named');
});
