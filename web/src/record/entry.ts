// An entry is one fact that a person charted on this device, on its way to the record.
import { v7 } from 'uuid';
import type { FieldError } from '../engine/result';

export type EntryStatus =
  | 'waiting' // on this device only
  | 'kept' // the server has it durably
  | 'refused'; // the server gave reasons; a person must correct it

/** The event in the form that the ledger keeps; `body.kind` names what happened. */
export interface LineEvent {
  id: string;
  line: string;
  occurred_at: string;
  recorded_at: string;
  author: string;
  device: string;
  schema: number;
  corrects?: string;
  deviation_reason?: string;
  body: { kind: string } & Record<string, unknown>;
}

export interface Entry {
  id: string;
  event: LineEvent;
  status: EntryStatus;
  errors: FieldError[];
  queued_at: number;
  settled_at: number | null;
}

export const schemaVersion = 2;

/** A time-ordered id made on this device, so that sending twice records once. */
export const newId = (): string => v7();
