// How somebody likes this device: language, sound, the difference of the clocks. It lies open, so nothing of a person belongs here.
const keyOf = (work: string, line: string): string => `dwell.${work}.${line}`;

export function readKept<T>(work: string, line: string): T | null {
  const kept = localStorage.getItem(keyOf(work, line));
  if (kept === null) return null;
  try {
    return JSON.parse(kept) as T;
  } catch {
    return null;
  }
}
export const keep = (work: string, line: string, value: unknown): void => localStorage.setItem(keyOf(work, line), JSON.stringify(value));
export const forget = (work: string, line: string): void => localStorage.removeItem(keyOf(work, line));
