// The letters by which a ward knows who charts: "M. Koller, nurse" is MK.

/** The words of a name; the role after the comma is none of it. */
const wordsOf = (person: string): string[] => (person.split(',')[0] ?? '').split(/[\s.]+/).filter((word) => word !== '');

/** The first letters of the first and the last word, and so many more of the last. */
export function initialsOf(person: string, more = 0): string {
  const words = wordsOf(person);
  const last = [...(words.at(-1) ?? '')];
  const first = words.length > 1 ? ([...(words[0] ?? '')][0] ?? '') : '';
  return (first + (last[0] ?? '')).toLocaleUpperCase() + last.slice(1, 1 + more).join('').toLocaleLowerCase();
}

/** Unique on a ward: where two would be alike, further letters of the last word tell them apart, as far as letters can. */
export function initialsOfAll(people: readonly string[]): Map<string, string> {
  const all = [...new Set(people)];
  const shortest = (person: string): string => {
    const longest = wordsOf(person).at(-1)?.length ?? 0;
    for (let more = 0; more < longest; more++) if (!all.some((other) => other !== person && initialsOf(other, more) === initialsOf(person, more))) return initialsOf(person, more);
    return initialsOf(person, Math.max(0, longest - 1));
  };
  return new Map(all.map((person) => [person, shortest(person)]));
}
