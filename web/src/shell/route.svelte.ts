// Where the page is, from the address after "#": #/watch/LINE?zoom=24h. Plain links move; the back button works.

import { arrive, followVisits } from './visits';

export const sections = ['plan', 'place', 'infuse', 'watch', 'remove', 'learn'] as const;
export type Section = (typeof sections)[number];

export interface Route {
  /** The first part of the address; a section, or "gallery". */
  name: string;
  /** What stands after it: ["LINE"]. */
  rest: string[];
  query: URLSearchParams;
}

export function readRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?', 2);
  const [name = '', ...rest] = path.split('/').filter(Boolean).map(safelyDecoded);
  return { name: name === '' ? 'watch' : name, rest, query: new URLSearchParams(query) };
}

function safelyDecoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}

export function address(name: string, rest: readonly string[] = [], query: Record<string, string> = {}): string {
  const tail = new URLSearchParams(query).toString();
  return `#/${[name, ...rest].map(encodeURIComponent).join('/')}${tail === '' ? '' : `?${tail}`}`;
}

/** The way on from the page that is open now, for an act whose answer comes later: whoever has gone elsewhere meanwhile stays
 *  there. `replace`: the page that is left has nothing more to show, so "back" does not lead to it. */
export function fromHere(): (to: string, how?: 'replace') => void {
  const here = location.hash;
  return (to, how) => {
    if (location.hash !== here) return;
    if (how === 'replace') location.replace(to);
    else location.hash = to;
  };
}

class Current {
  route = $state.raw<Route>(readRoute(''));
  private place: number | null = null;

  /** How far the page is to be scrolled, in px, when this address was come back to; else null. Given once. */
  takePlace(): number | null {
    const place = this.place;
    this.place = null;
    return place;
  }

  /** Follows the address bar. Returns the stop. */
  follow(): () => void {
    const unfollow = followVisits();
    const read = (): void => {
      this.route = readRoute(location.hash);
    };
    const arrived = (): void => {
      this.place = arrive();
      read();
    };
    read();
    addEventListener('hashchange', arrived);
    return () => {
      unfollow();
      removeEventListener('hashchange', arrived);
    };
  }
}

export const current = new Current();
