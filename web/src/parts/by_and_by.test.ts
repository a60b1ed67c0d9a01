import { beforeEach, expect, it, vi } from 'vitest';

let soon: typeof import('./by_and_by').soon;
let notAnyMore: typeof import('./by_and_by').notAnyMore;
let frames: (() => void)[];
/** How many frames were asked for. */
function frame(): number {
  const now = frames.splice(0);
  for (const work of now) work();
  return now.length;
}
beforeEach(async () => {
  frames = [];
  vi.stubGlobal('requestAnimationFrame', (work: () => void) => frames.push(work));
  vi.resetModules();
  ({ soon, notAnyMore } = await import('./by_and_by'));
});

it('does a little in each frame, in the order asked for', () => {
  const done: string[] = [];
  for (const name of ['a', 'b', 'c']) soon(() => done.push(name));
  expect(frame()).toBe(1);
  expect(done.join('')).toBe('ab');
  expect(frame()).toBe(1);
  expect(done.join('')).toBe('abc');
  expect(frame()).toBe(0);
});
it('asks for one frame at a time, even for work that asks for more work', () => {
  let turns = 0;
  const again = (): void => {
    if (++turns < 6) soon(again, 2);
  };
  soon(again, 2);
  for (let nth = 1; nth <= 6; nth++) expect(frame()).toBe(1);
  expect(turns).toBe(6);
});
it('asks once when work was taken back meanwhile', () => {
  const work = (): void => undefined;
  soon(work);
  notAnyMore(work);
  soon(() => undefined);
  expect(frame()).toBe(1);
});
it('goes on when one piece fails', () => {
  const done: string[] = [];
  soon(() => {
    throw new Error('broken');
  });
  soon(() => done.push('after it'));
  expect(frame).toThrow('broken');
  frame();
  expect(done).toEqual(['after it']);
});
