// Which entries have reached the server, in words: the worst first, and how many of each.
import type { Counts, Standing } from './standing';
import { text } from '../text/text';

export function connectionWords(counts: Counts | null, standing: Standing): string {
  const { refused = 0, unreadable = 0, waiting = 0 } = counts ?? {};
  if (standing === 'not_looked') return text.connection.notLooked;
  if (standing === 'sending') return text.connection.sending;
  if (standing === 'offline') return text.connection.offlineNothing;
  if (standing === 'all_there') return text.connection.onServer;
  return [
    ...(refused > 0 ? [text.connection.refused(refused)] : []),
    ...(unreadable > 0 ? [text.connection.unreadable(unreadable)] : []),
    ...(waiting > 0 ? [text.connection.onDevice(waiting)] : []),
  ].join('; ');
}
