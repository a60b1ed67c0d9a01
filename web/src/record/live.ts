// Live news from the server at api/live. The browser reconnects by itself; this tells the page whether it is connected
// and hands each piece of news on.

export interface News {
  kind: string;
  data: string;
  id: string;
}

export interface Live {
  close(): void;
}

export type OpenSource = (address: string) => EventSource;

export function listen(
  kinds: readonly string[],
  onNews: (news: News) => void,
  onConnected: (connected: boolean) => void,
  open: OpenSource = (address) => new EventSource(address),
): Live {
  const source = open('api/live');
  source.addEventListener('open', () => onConnected(true));
  source.addEventListener('error', () => onConnected(false));
  for (const kind of kinds)
    source.addEventListener(kind, (event: MessageEvent<string>) =>
      onNews({ kind, data: event.data, id: event.lastEventId }),
    );
  return { close: () => source.close() };
}
