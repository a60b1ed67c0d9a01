import { expect, it } from 'vitest';
import { Delivery } from './delivery';
import type { Outbox, Sent } from './outbox';

/** An outbox whose runs come to what they are told, and timers that ring when they are told. */
function staged(runs: Partial<Sent>[]) {
  const begun: (() => void)[] = [];
  const waits: number[] = [];
  let ring: () => void = () => undefined;
  const flush = () =>
    new Promise<Sent>((done, failed) => {
      const run = runs.shift();
      begun.push(() => (run === undefined ? failed(new Error('full')) : done({ settled: 0, left: 0, answered: true, wait: null, ...run })));
    });
  const told: (Sent | null)[] = [];
  const delivery = new Delivery({ flush } as Outbox, (sent) => told.push(sent), (work, wait) => {
    waits.push(wait);
    ring = work;
    return () => (ring = () => undefined);
  });
  const ends = async (): Promise<void> => {
    begun.at(-1)?.();
    await new Promise(setImmediate);
  };
  return { delivery, begun, waits, told, ends, rings: () => ring() };
}

it('waits longer after each run that left something, and as long as the server asks', async () => {
  const { delivery, waits, ends, rings } = staged([{ left: 1 }, { left: 1 }, { left: 1, wait: 60_000 }, { left: 1, settled: 1 }, { left: 0 }]);
  void delivery.attempt();
  for (let run = 0; run < 5; run++) {
    await ends();
    rings();
  }
  expect(waits).toEqual([1_000, 2_000, 60_000, 1_000]);
});

it('what comes while the last are on their way goes at once', async () => {
  const { delivery, begun, waits, ends } = staged([{ left: 0, settled: 1 }, { left: 0, settled: 1 }]);
  void delivery.attempt();
  void delivery.nudge();
  await ends();
  expect([begun.length, waits.length]).toEqual([2, 0]);
});

it('does not hurry while a failure is waited out, and goes on after its own store failed', async () => {
  const { delivery, begun, waits, told, ends, rings } = staged([]);
  void delivery.attempt();
  await ends();
  await delivery.nudge();
  expect([begun.length, waits, told]).toEqual([1, [1_000], [null]]);
  rings();
  expect(begun.length).toBe(2);
});
