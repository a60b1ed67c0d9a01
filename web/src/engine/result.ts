// What every call of the engine answers: the value, or all that was wrong with the input, at once.
import { isSaid } from '../text/message';
import type { FieldError } from './generated/shapes';

export type { FieldError };

export type Result<T> = { ok: true; value: T } | { ok: false; errors: FieldError[] };

export const accepted = <T>(value: T): Result<T> => ({ ok: true, value });
export const refused = (errors: FieldError[]): Result<never> => ({ ok: false, errors });

/** The errors of one field and of the fields inside it: errorsAt(errors, '/order/rate'). */
export function errorsAt(errors: readonly FieldError[], path: string): FieldError[] {
  return errors.filter((error) => error.path === path || error.path.startsWith(`${path}/`));
}

/** Whether something that came over the wire is one thing wrong, with all its parts. */
export function isFieldError(value: unknown): value is FieldError {
  if (typeof value !== 'object' || value === null) return false;
  const { path, found, expected } = value as Record<string, unknown>;
  return typeof path === 'string' && typeof found === 'string' && isSaid(expected);
}

/** Reads the envelope `{"ok": true, "value": …}` or `{"ok": false, "errors": […]}`; anything else is a broken promise. */
export function readResult<T>(text: string): Result<T> {
  const parsed: unknown = JSON.parse(text);
  if (typeof parsed === 'object' && parsed !== null && 'ok' in parsed) {
    if (parsed.ok === true && 'value' in parsed) return accepted(parsed.value as T);
    if (parsed.ok === false && 'errors' in parsed && Array.isArray(parsed.errors) && parsed.errors.every(isFieldError))
      return refused(parsed.errors);
  }
  throw new Error(`not an answer of the engine: ${text.slice(0, 200)}`);
}
