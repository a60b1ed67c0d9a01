// Changing the ward's policy: figures typed anew, looked at by the engine, and put into force by the server.
import { ask } from '../record/ask';
import type { FieldError, Mark, PolicyPolicyIn, ServerPolicyPage, Source } from '../engine/generated/shapes';
import { answerOf, post, type Address } from '../record/api';
import { isFieldError } from '../engine/result';
import { asCharted, newId } from '../record/entry';

export interface Figure {
  value: string;
  source: string;
  mark: Mark;
}
/** Figures that were typed anew, by the path of the figure: "watch/soon". */
export type Edits = Record<string, Figure>;

const isObject = (node: unknown): node is Record<string, unknown> => typeof node === 'object' && node !== null && !Array.isArray(node);

/** As the policy file writes it: a whole number stays a number (the engine reads any other, and asks when it is in doubt), a list of words is typed with commas, a quantity with its unit. */
function typed(text: string, before: unknown): unknown {
  const plain = text.trim();
  if (typeof before === 'number') return /^-?\d+$/.test(plain) ? Number(plain) : plain;
  if (Array.isArray(before)) return plain.split(',').map((one) => one.trim()).filter((one) => one !== '');
  return plain;
}

/** Whether a figure can be typed: a number, a word, a quantity, a list of words. */
export const canBeTyped = (value: unknown): boolean =>
  typeof value === 'number' || typeof value === 'string' || (isObject(value) && typeof value['text'] === 'string') || (Array.isArray(value) && value.every((one) => typeof one === 'string'));

export function withEdits<Policy extends object>(policy: Policy, edits: Edits): Policy {
  const changed = structuredClone(policy);
  for (const [path, figure] of Object.entries(edits)) {
    const steps = path.split('/');
    const last = steps.pop();
    let node: unknown = changed;
    for (const step of steps) node = isObject(node) ? node[step] : undefined;
    const before = isObject(node) && last !== undefined ? node[last] : undefined;
    if (!isObject(node) || !isObject(before) || last === undefined) continue;
    node[last] = { ...before, value: typed(figure.value, before['value']), source: figure.source.trim(), mark: figure.mark };
  }
  return changed;
}

/** One figure as a row shows it. */
export interface FigureRow {
  path: string;
  canBeTyped: boolean;
  name: string;
  value: string;
  source: Source;
}
/** Figures that stand together in the index. */
export interface PolicyPart {
  key: string;
  name: string;
  rows: FigureRow[];
}

function shown(value: unknown): string {
  if (Array.isArray(value)) return value.map(shown).join(', ');
  if (isObject(value)) return typeof value['text'] === 'string' ? value['text'] : '';
  return String(value);
}

/** All figures beneath a part of the policy: whatever carries a value, a source and a mark. */
function rowsOf(node: unknown, name: string, path: string, plain: (word: string) => string): FigureRow[] {
  if (!isObject(node)) return [];
  if ('value' in node && typeof node['source'] === 'string' && typeof node['mark'] === 'string')
    return [{ path, canBeTyped: canBeTyped(node['value']), name: plain(name), value: shown(node['value']), source: { text: node['source'], mark: node['mark'] as Mark } }];
  return Object.entries(node).flatMap(([key, child]) => rowsOf(child, name === '' ? key : `${name}: ${key}`, `${path}/${key}`, plain));
}

/** As many rows stand on one screen and a little more; of a longer section the largest of its own parts are shown apart. */
const mostRows = 18;

/** The policy's sections in the order of the file. */
export function partsOf(policy: object | undefined, plain: (word: string) => string): PolicyPart[] {
  return Object.entries(policy ?? {}).flatMap(([key, section]): PolicyPart[] => {
    let rest = rowsOf(section, '', key, plain);
    const apart: PolicyPart[] = [];
    const subs = isObject(section)
      ? Object.entries(section)
          .map(([sub, child]) => ({ key: `${key}/${sub}`, name: plain(`${key}: ${sub}`), rows: rowsOf(child, '', `${key}/${sub}`, plain) }))
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
