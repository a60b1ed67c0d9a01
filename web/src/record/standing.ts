// What the page may say of its entries. "All on the server" is earned: this device was looked through, nothing waits, nothing
// is refused, nothing lies here unread, and the last word with the server was a good one.

/** How many entries have not reached the server. `sending`: on their way this moment; `unreadable`: this device cannot open them. */
export interface Counts {
  waiting: number;
  sending: number;
  refused: number;
  unreadable: number;
}
/** How the last exchange with the server ended. */
export type Exchange = 'none' | 'good' | 'failed';
export type Standing = 'not_looked' | 'refused' | 'unreadable' | 'waiting' | 'sending' | 'offline' | 'all_there';

/** `counts`: null until this device was looked through, or when it cannot be. The worst comes first. */
export function standingOf(counts: Counts | null, exchange: Exchange): Standing {
  if (counts === null) return 'not_looked';
  if (counts.refused > 0) return 'refused';
  if (counts.unreadable > 0) return 'unreadable';
  if (counts.waiting > 0) return 'waiting';
  if (counts.sending > 0) return 'sending';
  return exchange === 'good' ? 'all_there' : 'offline';
}
