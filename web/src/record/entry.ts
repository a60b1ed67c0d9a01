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

export const schemaVersion = 2;

/** A time-ordered id made on this device, so that sending twice records once. */
export const newId = (): string => v7();
