// Every question to the server goes this way: it says that this page asks, and for whom, and whoever has to know hears that nobody
// is signed in any more. No other page can set this header, nor can it speak for somebody who has signed in elsewhere since.

/** The id of the person whose page this is; what stands there before it is known. */
let asker = 'page';
let turnedAway: () => void = () => undefined;

export function asksFor(person: string | null): void {
  asker = person ?? 'page';
}
/** `told` hears of each answer that says: sign in. */
export function whenTurnedAway(told: () => void): void {
  turnedAway = told;
}

export const ask: typeof fetch = async (input, init) => {
  const headers = new Headers(init?.headers);
  headers.set('X-Dwell', asker);
  const answer = await fetch(input, { ...init, headers });
  if (answer.status === 401) turnedAway();
  return answer;
};
