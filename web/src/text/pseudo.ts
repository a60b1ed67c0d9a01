// English in longer letters, for the pseudo-language en-XA: what a screen shows in plain letters then comes from outside the
// catalogue. The patterns of the engine's messages are made so by tools/messages; here are the page's own words.
const longerLetters: Readonly<Record<string, string>> = {
  a: 'áà', e: 'éè', i: 'íì', o: 'óò', u: 'úù', y: 'ýỳ', c: 'ç', n: 'ñ', s: 'š', g: 'ğ',
  A: 'Áà', E: 'Éè', I: 'Íì', O: 'Óò', U: 'Úù', Y: 'Ýỳ', C: 'Ç', N: 'Ñ', S: 'Š', G: 'Ğ',
};

export const longer = (words: string): string => words.replaceAll(/[A-Za-z]/g, (letter) => longerLetters[letter] ?? letter);

/** Longer, but for what was put in: that is somebody else's. */
function longerAround(words: string, given: readonly string[]): string {
  const [one, ...others] = given;
  if (one === undefined) return longer(words);
  return words.split(one).map((part) => longerAround(part, others)).join(one);
}

/** A name of the program ("overdue", "hand_back") is the catalogue's, also where English calls it by the same letters. */
const isName = (given: unknown): boolean => typeof given === 'string' && /^[a-z_]+$/.test(given);

/** A catalogue of the page in longer letters: its words, and what its functions make of what they are given. */
export function inLongerLetters<T>(words: T): T {
  const made = (value: unknown, given: readonly string[] = []): unknown => {
    if (typeof value === 'string') return longerAround(value, given);
    if (Array.isArray(value)) return value.map((one) => made(one, given));
    if (typeof value === 'object' && value !== null) return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, key === 'plain' ? longerNames(one) : made(one, given)]));
    if (typeof value !== 'function') return value;
    const call = value as (...all: unknown[]) => unknown;
    return (...all: unknown[]) => made(call(...all), all.filter((one) => typeof one === 'string' && one.length > 1 && !isName(one)).sort((a, b) => String(b).length - String(a).length) as string[]);
  };
  // What names are called: they may be several in one ("order: child").
  const longerNames = (value: unknown): unknown => (name: string) => longer((value as (name: string) => string)(name));
  return made(words) as T;
}
