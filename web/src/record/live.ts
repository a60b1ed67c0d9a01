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

const afterRefusal = 10_000;
/** EventSource.CLOSED */
const closed = 2;

export type OpenSource = (address: string) => EventSource;

export function listen(
  kinds: readonly string[],
  onNews: (news: News) => void,
  onConnected: (connected: boolean) => void,
  open: OpenSource = (address) => new EventSource(address),
): Live {
  let source: EventSource;
  let again: ReturnType<typeof setTimeout> | undefined;
  const begin = (): void => {
    source = open('api/live');
    source.addEventListener('open', () => onConnected(true));
    source.addEventListener('error', () => {
      onConnected(false);
      // A browser gives up on a refusal for good; one is given while a session is locked.
      if (source.readyState === closed) again = setTimeout(begin, afterRefusal);
    });
    for (const kind of kinds)
      source.addEventListener(kind, (event: MessageEvent<string>) =>
        onNews({ kind, data: event.data, id: event.lastEventId }),
      );
  };
  begin();
  return {
    close: () => {
      clearTimeout(again);
      source.close();
    },
  };
}
