// What the page says about its record: whether it was reached last time, and how many entries have not reached the server.
import { Delivery } from './delivery';
import { news } from './news.svelte';
import type { Census, Outbox } from './outbox';
import { standingOf, type Counts, type Exchange } from './standing';

class Connection {
  /** Null until this device was looked through. */
  counts = $state.raw<Counts | null>(null);
  exchange = $state<Exchange>('none');
  readonly standing = $derived(standingOf(this.counts, news.reachable ? this.exchange : 'failed'));

  /** An exchange with the server ended. */
  heard(good: boolean): void {
    this.exchange = good ? 'good' : 'failed';
  }
}

export const connection = new Connection();

/**
 * Keeps the counts, and sends whenever something waits and the network may be there. `looked`: told what lies here, each time
 * it was looked through. Another page on this device that adds to the same outbox is heard too. Returns the stop.
 */
export function tend(outbox: Outbox, looked: (census: Census) => void): () => void {
  const others = new BroadcastChannel('dwell-outbox');
  const delivery = new Delivery(outbox, (sent) => {
    if (sent === null) connection.counts = null; // this device's own store fails: what lies there is not known
  });
  let turn = 0;
  const look = async (): Promise<void> => {
    const mine = ++turn;
    const census = await outbox.census().catch(() => null);
    if (mine !== turn) return; // looked through again since
    connection.counts = census === null ? null : { waiting: census.waiting.length, sending: census.sending.length, refused: census.refused.length, unreadable: census.unreadable };
    if (census === null) return;
    looked(census);
    if (census.waiting.length + census.sending.length > 0) void delivery.nudge(); // a form that was closed sends nothing more
  };
  const unwatch = outbox.watch(() => {
    others.postMessage('changed');
    void look();
  });
  others.onmessage = () => void look();
  const online = (): void => void delivery.attempt();
  addEventListener('online', online);
  void look();
  return () => {
    delivery.stop();
    unwatch();
    others.close();
    removeEventListener('online', online);
  };
}
