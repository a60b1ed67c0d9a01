// An entry is one fact that a person charted on this device, on its way to the record.
import { v7 } from 'uuid';
import type { FieldError, LineEventIn } from '../engine/generated/shapes';

export type EntryStatus =
  | 'waiting' // on this device only
  | 'kept' // the server has it durably
  | 'refused'; // the server gave reasons; a person must correct it

export interface Entry {
  id: string;
  event: LineEventIn;
  status: EntryStatus;
  errors: FieldError[];
  queued_at: number;
  settled_at: number | null;
}

/**
 * What a person typed, as it is charted: white space around it is nobody's words, and letters are written in one way
 * (Unicode NFC), so that a name typed on two keyboards is one name.
 */
export function asCharted<T>(typed: T): T {
  const charted = (one: unknown): unknown => {
    if (typeof one === 'string') return one.normalize('NFC').trim();
    if (Array.isArray(one)) return one.map(charted);
    if (typeof one === 'object' && one !== null) return Object.fromEntries(Object.entries(one).map(([key, part]) => [key, charted(part)]));
    return one;
  };
  return charted(typed) as T;
}

export const schemaVersion = 3;

/** When an id of version 7 was made, in ms. */
const momentOf = (id: string): number => Number.parseInt(id.slice(0, 8) + id.slice(9, 13), 16);
const isId = (text: string): boolean => /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/.test(text);
/** None can be made behind it. */
const lastMoment = 2 ** 48 - 1;

/** Makes ids that rise, whatever happens to the clock meanwhile. */
export function risingIds(byClock: () => string): (behind?: Iterable<string>) => string {
  let latest = '';
  return (behind = []) => {
    for (const id of behind) if (id > latest && isId(id) && momentOf(id) < lastMoment) latest = id;
    const id = byClock();
    latest = id > latest ? id : v7({ msecs: momentOf(latest) + 1 });
    return latest;
  };
}

/**
 * A time-ordered id made on this device, so that sending twice records once. It stands behind every id that this page has made
 * and behind those that it is told of: a clock that was set back, and a page that was loaded anew since, change no order.
 */
export const newId = risingIds(() => v7());
