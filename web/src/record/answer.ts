// What the server says of entries that were sent. An entry is settled only when it is named in an answer that is whole and
// of the promised shape; everything else (no answer, half an answer, a proxy's page) settles nothing.
import { isFieldError, type FieldError } from '../engine/result';
import type { LineEventIn, ServerSaying } from '../engine/generated/shapes';
import type { Address } from './api';
import { isSaid } from '../text/message';
import { ask as fromPage } from './ask';

/** An answer that names entries. `held`: the record has them, `written` just now; `refused`: it does not take them, and why. */
export interface Named {
  kind: 'named';
  sequence: number;
  held: ReadonlySet<string>;
  written: ReadonlySet<string>;
  refused: ReadonlyMap<string, FieldError[]>;
  said: ServerSaying[];
}

export type Reply =
  | Named
  | { kind: 'unclear' } // the server answered, and settled nothing
  | { kind: 'none'; retryAfter: number | null }; // nobody answered, or asked to be asked later: in ms

/** Longer than this nobody is kept waiting, whatever the server asks for. */
export const longestWait = 300_000;
const patience = 30_000;
/** The server or what stands before it is busy or away. RFC 9110 §15.6.3 to §15.6.5; RFC 6585 §4. */
export const away = new Set([429, 502, 503, 504]);

export const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null && !Array.isArray(value);
const isWord = (value: unknown): value is string => typeof value === 'string';
export const isListOfWords = (value: unknown): value is string[] => Array.isArray(value) && value.every(isWord);
const isSaying = (value: unknown): value is ServerSaying => isObject(value) && isWord(value['id']) && isWord(value['path']) && isSaid(value['text']);

/** Null when it is not whole. */
export function parsed(body: string): unknown {
  try {
    return JSON.parse(body);
  } catch {
    return null;
  }
}

/** Null when it is not an answer to entries that were sent. */
export function readAnswer(status: number, body: string): Named | null {
  const said = parsed(body);
  if ((status !== 200 && status !== 422) || !isObject(said)) return null;
  const { ok, sequence, written, already_there: alreadyThere, refused, said: sayings = [] } = said;
  if (typeof ok !== 'boolean' || !Number.isSafeInteger(sequence) || Number(sequence) < 0) return null;
  if (!isListOfWords(written) || !isListOfWords(alreadyThere) || !Array.isArray(refused) || !Array.isArray(sayings)) return null;
  const reasons = new Map<string, FieldError[]>();
  for (const one of refused as unknown[]) {
    if (!isObject(one) || !isWord(one['id']) || !Array.isArray(one['errors'])) continue;
    const errors = one['errors'].filter(isFieldError);
    if (errors.length > 0) reasons.set(one['id'], errors);
  }
  return { kind: 'named', sequence: Number(sequence), held: new Set([...written, ...alreadyThere]), written: new Set(written), refused: reasons, said: sayings.filter(isSaying) };
}

/** What an answer says of one entry: the record has it, does not take it, or neither; also when it says both. */
export function fateOf(id: string, { held, refused }: Named): 'held' | 'refused' | 'open' {
  const isHeld = held.has(id);
  const isRefused = (refused.get(id)?.length ?? 0) > 0;
  return isHeld === isRefused ? 'open' : isHeld ? 'held' : 'refused';
}

/** In ms from now: seconds or a date (RFC 9110 §10.2.3), never more than `longestWait`; null when it says neither. */
export function retryAfterOf(header: string | null, now: number): number | null {
  const words = header?.trim() ?? '';
  const wait = /^\d+$/.test(words) ? Number(words) * 1_000 : Date.parse(words) - now;
  return words === '' || Number.isNaN(wait) ? null : Math.min(Math.max(wait, 0), longestWait);
}

/** Sends entries, and reads what the server says of them. Never rejects. */
export async function postEvents(where: Address<'POST /api/events'>, events: LineEventIn[], ask: typeof fetch = (...args) => fromPage(...args)): Promise<Reply> {
  try {
    const answer = await ask(where, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(events),
      signal: AbortSignal.timeout(patience),
    });
    if (away.has(answer.status)) return { kind: 'none', retryAfter: retryAfterOf(answer.headers.get('Retry-After'), Date.now()) };
    return readAnswer(answer.status, await answer.text()) ?? { kind: 'unclear' };
  } catch {
    return { kind: 'none', retryAfter: null };
  }
}
