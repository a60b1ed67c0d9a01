// Work that can wait for a frame or two, a little in each, so that no frame is held up.

/** What a frame bears: two rows of a list, or two ribbons. */
const most = 2;
const waiting = new Map<() => void, number>();

function someOfIt(): void {
  let left = most;
  for (const [work, cost] of [...waiting]) {
    if (left < cost) break;
    left -= cost;
    waiting.delete(work);
    work();
  }
  if (waiting.size > 0) requestAnimationFrame(someOfIt);
}

/** In one of the next frames, in the order asked for. The same work waits once. */
export function soon(work: () => void, cost = 1): void {
  if (waiting.size === 0) requestAnimationFrame(someOfIt);
  if (!waiting.has(work)) waiting.set(work, cost);
}

export const notAnyMore = (work: () => void): void => void waiting.delete(work);
