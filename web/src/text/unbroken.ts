// A number must not lose its unit at the end of a row: "20 G" stays in one piece.
export function unbroken(words: string): string {
  return words.replace(/(\d) (?=[A-Za-z%])/g, '$1\u00a0');
}
