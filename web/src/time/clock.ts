// What time it is. The server's clock counts: a tablet that is hours wrong must not put its entries into the wrong shift.
import { keep, readKept } from '../record/kept';

/** A difference below this is the network's, not the clock's. */
const tolerated = 60_000;

let ahead: number | undefined;
const known = (): number => (ahead ??= readKept<number>('clock', 'ahead') ?? 0);

/** In ms; negative when this device's clock is behind the server's. 0 when they agree. */
export const clockAhead = (): number => known();

/** Now, by the server's clock as far as it is known; without a network by what was last known of it. */
export const moment = (): number => Date.now() - known();
export const momentIso = (): string => new Date(moment()).toISOString();

/** The calendar day here: a child born this morning is of today, whatever day it still is in Greenwich. */
export function dayHere(at: number): string {
  const day = new Date(at);
  const two = (part: number): string => String(part).padStart(2, '0');
  return `${String(day.getFullYear())}-${two(day.getMonth() + 1)}-${two(day.getDate())}`;
}

/** The device's clock and a count that nobody sets, when the server's time was last heard, and that time. */
let last: { date: number; count: number; server: number } | undefined;

/** The server said its time in an answer that has just come, this many ms after it was asked for. */
export function heardTime(server: number, took: number): void {
  const heard = Date.now();
  last = { date: heard, count: performance.now(), server: server + took / 2 };
  const found = heard - took / 2 - server;
  const now = Math.abs(found) < tolerated ? 0 : found;
  if (Math.abs(now - known()) < tolerated) return; // clocks at the bedside run on without a jump
  ahead = now;
  keep('clock', 'ahead', now);
}

/** Somebody set this device's clock, or it slept, since the server's time was heard: time to ask again. */
export const wasSet = (): boolean => last !== undefined && Math.abs(Date.now() - last.date - (performance.now() - last.count)) > tolerated;

/** The server's time to the second, for the age of what is shown; as `moment` until it was heard. */
export const serverMoment = (): number => (last === undefined ? moment() : last.server + Date.now() - last.date);
