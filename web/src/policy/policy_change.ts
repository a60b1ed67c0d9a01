// Changing the ward's policy: figures typed anew, looked at by the engine, and put into force by the server.
import { decimalSign } from '../engine/generated/names';
import { ask } from '../record/ask';
import type { FieldError, Mark, PolicyPolicyIn, ServerPolicyPage, Source } from '../engine/generated/shapes';
import { answerOf, post, type Address } from '../record/api';
import { isFieldError } from '../engine/result';
import { asCharted, newId } from '../record/entry';
import type { Wording } from '../text/message';
import { readIn, textsOf, wordedIn } from '../text/said_message';
import { shown as quantityShown } from '../text/text';

export interface Figure {
  value: string;
  source: string;
  mark: Mark;
}
/** Figures that were typed anew, by the path of the figure: "watch/soon". */
export type Edits = Record<string, Figure>;

const isObject = (node: unknown): node is Record<string, unknown> => typeof node === 'object' && node !== null && !Array.isArray(node);

/** A text by language has neither value nor unit, and its members are named after languages. */
const isByLanguage = (value: unknown): value is Readonly<Record<string, string>> =>
  isObject(value) && Object.entries(value).length > 0 && Object.entries(value).every(([key, one]) => typeof one === 'string' && /^[a-z]{2,3}(-|$)/.test(key));
/** A word of a closed set is no text of a language. */
const isClosed = (value: unknown): boolean => (decimalSign as readonly unknown[]).includes(value);
const isWording = (value: unknown): value is Wording => (typeof value === 'string' && !isClosed(value)) || isByLanguage(value);

/** The reader's language holds what was typed; the others stay. */
function typedIn(language: string, text: string, before: Wording): Wording {
  const own = language.split('-')[0] ?? language;
  const texts = textsOf(before);
  // Nothing was typed where there was nothing in this language: the other languages are not touched.
  if (text === '' && !(own in texts)) return before;
  const changed = { ...texts, [own]: text };
  return Object.keys(changed).length === 1 && own === 'en' ? text : changed;
}

/** As the policy file writes it: a whole number stays a number (the engine reads any other, and asks when it is in doubt), a list of words is typed with commas, a quantity with its unit. */
function typed(text: string, before: unknown, language: string): unknown {
  const plain = text.trim();
  if (typeof before === 'number') return /^-?\d+$/.test(plain) ? Number(plain) : plain;
  if (isWording(before)) return typedIn(language, plain, before);
  if (Array.isArray(before)) return plain.split(',').map((one) => one.trim()).filter((one) => one !== '');
  return plain;
}

/** Whether a figure can be typed: a number, a word, a quantity, a text by language, a list of words. */
export const canBeTyped = (value: unknown): boolean =>
  typeof value === 'number' || typeof value === 'string' || (isObject(value) && typeof value['text'] === 'string') || isByLanguage(value) || (Array.isArray(value) && value.every((one) => typeof one === 'string'));

export function withEdits<Policy extends object>(policy: Policy, edits: Edits, language: string): Policy {
  const changed = structuredClone(policy);
  for (const [path, figure] of Object.entries(edits)) {
    const steps = path.split('/');
    const last = steps.pop();
    let node: unknown = changed;
    for (const step of steps) node = isObject(node) ? node[step] : undefined;
    const before = isObject(node) && last !== undefined ? node[last] : undefined;
    if (!isObject(node) || !isObject(before) || last === undefined) continue;
    node[last] = { ...before, value: typed(figure.value, before['value'], language), source: figure.source.trim(), mark: figure.mark };
  }
  return changed;
}

/** One figure as a row shows it. */
export interface FigureRow {
  path: string;
  canBeTyped: boolean;
  name: string;
  value: string;
  /** What a field begins with when it is changed: of a text the reader's language alone. */
  typed: string;
  source: Source;
}
/** Figures that stand together in the index. */
export interface PolicyPart {
  key: string;
  name: string;
  rows: FigureRow[];
}

function shown(value: unknown, language: string): string {
  // What stands in a list is a name or an id.
  if (Array.isArray(value)) return value.map((one) => (typeof one === 'string' ? one : shown(one, language))).join(', ');
  if (isWording(value)) return wordedIn(language, value);
  if (isObject(value)) return typeof value['text'] === 'string' ? quantityShown({ text: value['text'] }) : '';
  return String(value);
}

function toType(value: unknown, language: string): string {
  if (isObject(value) && typeof value['text'] === 'string') return value['text']; // read again by the engine, as it wrote it
  if (!isWording(value)) return shown(value, language);
  const { text, instead } = readIn(language, value);
  return instead === undefined ? text : '';
}

/** All figures beneath a part of the policy: whatever carries a value, a source and a mark. */
function rowsOf(node: unknown, name: string, path: string, plain: (word: string) => string, language: string): FigureRow[] {
  if (!isObject(node)) return [];
  if ('value' in node && typeof node['source'] === 'string' && typeof node['mark'] === 'string')
    return [{ path, canBeTyped: canBeTyped(node['value']), name: plain(name), value: isClosed(node['value']) ? plain(String(node['value'])) : shown(node['value'], language), typed: toType(node['value'], language), source: { text: node['source'], mark: node['mark'] as Mark } }];
  return Object.entries(node).flatMap(([key, child]) => rowsOf(child, name === '' ? key : `${name}: ${key}`, `${path}/${key}`, plain, language));
}

/** As many rows stand on one screen and a little more; of a longer section the largest of its own parts are shown apart. */
const mostRows = 18;

/** The policy's sections in the order of the file. */
export function partsOf(policy: object | undefined, plain: (word: string) => string, language: string): PolicyPart[] {
  return Object.entries(policy ?? {}).flatMap(([key, section]): PolicyPart[] => {
    let rest = rowsOf(section, '', key, plain, language);
    const apart: PolicyPart[] = [];
    const subs = isObject(section)
      ? Object.entries(section)
          .map(([sub, child]) => ({ key: `${key}/${sub}`, name: plain(`${key}: ${sub}`), rows: rowsOf(child, '', `${key}/${sub}`, plain, language) }))
          .sort((a, b) => b.rows.length - a.rows.length)
      : [];
    for (const sub of subs) {
      if (rest.length <= mostRows || sub.rows.length < 2) break;
      const gone = new Set(sub.rows.map((row) => row.path));
      rest = rest.filter((row) => !gone.has(row.path));
      apart.push(sub);
    }
    const pieces = Math.ceil(rest.length / mostRows);
    const each = Math.ceil(rest.length / Math.max(1, pieces));
    const own = Array.from({ length: pieces }, (_, i) => ({ key: i === 0 ? key : `${key}/${i + 1}`, name: pieces === 1 ? plain(key) : `${plain(key)} ${i + 1}/${pieces}`, rows: rest.slice(i * each, (i + 1) * each) }));
    return [...own, ...apart];
  });
}

/** The policy as a file: what is kept of it, with the order of its members. */
export const fileOf = (policy: object): string => `${JSON.stringify(policy, null, 2)}\n`;

/** What a file says, if it may be a policy at all; whether it is one, the engine says. */
export function readFile(text: string): PolicyPolicyIn | null {
  try {
    const said: unknown = JSON.parse(text);
    return isObject(said) && ['watch', 'scales', 'responses'].every((part) => part in said) ? (said as unknown as PolicyPolicyIn) : null;
  } catch {
    return null;
  }
}

export async function policyPage(): Promise<ServerPolicyPage> {
  const address: Address<'GET /api/policy'> = 'api/policy';
  const answer = await ask(address);
  if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
  return answerOf('GET /api/policy', await answer.text());
}

/** `after`: the paper of the policy that was changed. What the server found wrong, another policy that came into force
 *  meanwhile among it; nothing when this one is in force. Rejects when it cannot be reached. */
export async function putIntoForce(policy: PolicyPolicyIn, after: string, who: string, reason: string): Promise<FieldError[]> {
  const answer = await post('POST /api/policy', 'api/policy', asCharted({ id: newId(), policy, who, reason, after }));
  if (answer.ok) return [];
  if (answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
  const said: unknown = await answer.json();
  return isObject(said) && Array.isArray(said['errors']) ? said['errors'].filter(isFieldError) : [];
}
