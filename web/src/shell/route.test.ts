import { expect, it, vi } from 'vitest';
import { address, fromHere, readRoute } from './route.svelte';

it('reads section, rest and query', () => {
  const route = readRoute('#/watch/line%201?zoom=3d');
  expect([route.name, route.rest, route.query.get('zoom')]).toEqual(['watch', ['line 1'], '3d']);
});
it('starts at the ward', () => {
  for (const hash of ['', '#', '#/']) expect(readRoute(hash).name).toBe('watch');
});
it('survives an address that cannot be decoded', () => {
  expect(readRoute('#/watch/%E0%A4%A').rest).toEqual(['%E0%A4%A']);
});
it('writes what it reads', () => {
  expect(address('watch', ['a/b'], { zoom: '7d' })).toBe('#/watch/a%2Fb?zoom=7d');
  expect(readRoute(address('watch', ['a/b'])).rest).toEqual(['a/b']);
});
it('leads on from the page an act was begun on, and drags nobody back who went elsewhere meanwhile', () => {
  const place = { hash: '#/watch/a/check', replace: vi.fn() };
  vi.stubGlobal('location', place);
  const goOn = fromHere();
  goOn('#/watch/a');
  expect(place.hash).toBe('#/watch/a');
  const late = fromHere();
  place.hash = '#/watch';
  late('#/watch/a/response');
  late('#/watch/a/response', 'replace');
  expect(place.hash).toBe('#/watch');
  expect(place.replace).not.toHaveBeenCalled();
  vi.unstubAllGlobals();
});
