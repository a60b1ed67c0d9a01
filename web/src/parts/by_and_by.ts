// Work that can wait for a frame or two, a little in each, so that no frame is held up.

/** What a frame bears: two rows of a list, or two ribbons. */
const most = 2;
const waiting = new Map<() => void, number>();
let isAsked = false;

function ask(): void {
  if (isAsked || waiting.size === 0) return;
  isAsked = true;
  requestAnimationFrame(someOfIt);
}

function someOfIt(): void {
  let left = most;
  try {
    for (const [work, cost] of [...waiting]) {
      if (left < cost) break;
      left -= cost;
      waiting.delete(work);
      work();
    }
  } finally {
    isAsked = false; // one piece that fails holds up no other
    ask();
  }
}

/** In one of the next frames, in the order asked for. The same work waits once. */
export function soon(work: () => void, cost = 1): void {
  if (!waiting.has(work)) waiting.set(work, cost);
  ask();
}

export const notAnyMore = (work: () => void): void => void waiting.delete(work);
