// What the page says about its record: connected or not, and how many entries have not reached the server.
import type { Outbox } from './outbox';

class Connection {
  connected = $state(false);
  waiting = $state(0);
  refused = $state(0);
}

export const connection = new Connection();

const retryAfter = [1_000, 2_000, 5_000, 15_000, 30_000] as const;

/** Keeps the counts, and sends whenever something waits and the network may be there. Returns the stop. */
export function tend(outbox: Outbox): () => void {
  let failures = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let stopped = false;

  const count = async (): Promise<void> => {
    const entries = await outbox.all();
    connection.waiting = entries.filter((entry) => entry.status === 'waiting').length;
    connection.refused = entries.filter((entry) => entry.status === 'refused').length;
  };
  const attempt = async (): Promise<void> => {
    clearTimeout(timer);
    timer = undefined;
    try {
      await outbox.flush();
      failures = 0;
      connection.connected = true;
    } catch {
      connection.connected = false;
      const wait = retryAfter[Math.min(failures++, retryAfter.length - 1)] ?? 30_000;
      if (!stopped) timer = setTimeout(() => void attempt(), wait);
    }
    await count();
  };
  const unwatch = outbox.watch(() => {
    void count().then(() => (connection.waiting > 0 && timer === undefined ? attempt() : undefined));
  });
  const online = (): void => void attempt();
  addEventListener('online', online);
  void attempt();
  return () => {
    stopped = true;
    clearTimeout(timer);
    timer = undefined;
    unwatch();
    removeEventListener('online', online);
  };
}
