// Every message in every language, said by both: ICU's own library in C++ (exchange/said, through `dwell engine say`) and
// the formatter of the page (npm intl-messageformat). The arguments are generated from what the catalogue declares;
// DWELL_SEED=n begins with another number.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { speaker } from '../../web/src/text/said_message.ts';

const dwell = process.env.DWELL_BINARY ?? 'build/release/dwell';
const run = (program, args, input) => {
  const ended = spawnSync(program, args, { input, encoding: 'utf8', maxBuffer: 1 << 28 });
  assert.equal(ended.status, 0, ended.stderr);
  return ended.stdout;
};
const made = mkdtempSync(join(tmpdir(), 'dwell-messages-'));
run('tools/messages', ['page', made]);
const declared = JSON.parse(run('tools/messages', ['list']));
const languages = Object.fromEntries(
  readdirSync(made)
    .filter((name) => name.endsWith('.json') && !name.startsWith('en_')) // not the parts of English
    .map((name) => [name.slice(0, -'.json'.length), JSON.parse(readFileSync(join(made, name), 'utf8'))]),
);

let seed = Number(process.env.DWELL_SEED ?? 1);
/** A number below n; the same sequence for the same seed. */
function below(n) {
  seed = (seed * 1_103_515_245 + 12_345) % 2_147_483_648;
  return Math.floor((seed / 2_147_483_648) * n);
}
const oneOf = (list) => list[below(list.length)];
const parted = (n) => String(n).replace(/\B(?=(\d{3})+$)/g, '\u202f');
const words = ['leaking', "the nurse's own", 'a {place} and a # sign', '<b>bold</b>', "'{' and ''", '', 'ñandú – 50 %', 'أحمد', '1,5'];
const units = [...new Set(Object.values(languages).flatMap((one) => Object.keys(one.display.units))), '', 'mL', 'kg', '%'];

const quantity = () => ({ quantity: Array.from({ length: 1 + below(2) }, () => [oneOf(['0.5', '12', '1\u202f234.5', '-3', '1.00e-10', '']), oneOf(units)]) });
const count = () => {
  const n = oneOf([0, 1, 2, 3, 5, 11, 21, 1_000, 1_000_000]);
  return { count: n, digits: parted(n) };
};
const make = {
  quantity,
  number: quantity,
  interval: quantity,
  count,
  moment: () => ({ moment: new Date(Date.UTC(2026, below(12), 1 + below(28), below(24), below(60))).toISOString() }),
  day: () => ({ day: `20${10 + below(80)}-0${1 + below(9)}-1${below(10)}` }),
  enumerator: ({ enumerators }) => ({ enumerator: oneOf(enumerators) }),
  listed: () => ({ listed: oneOf(words) }),
  own_words: () => ({ own_words: oneOf(words) }),
  wording: () => ({ wording: oneOf(['', oneOf(words), ...[['en'], ['es'], ['en', 'es'], ['fr', 'pt-BR']].map((keys) => Object.fromEntries(keys.map((key) => [key, oneOf(words.filter((one) => one !== ''))])))]) }),
  message: (_, depth) => ({ messages: [any(depth)], join: 'list' }),
  messages: (_, depth) => ({ messages: Array.from({ length: below(4) }, () => any(depth)), join: 'list' }),
  sentences: (_, depth) => ({ messages: Array.from({ length: below(4) }, () => any(depth)), join: 'sentences' }),
};
const messageOf = (id, depth = 0) => ({ id, args: Object.fromEntries(Object.entries(declared[id]).map(([name, one]) => [name, make[one.type](one, depth + 1)])) });
const any = (depth) => (depth > 3 || below(8) === 0 ? { id: 'as_written', args: { words: make.own_words() } } : messageOf(oneOf(Object.keys(declared)), depth));

const each = 40;
const messages = Object.keys(declared).flatMap((id) => Array.from({ length: each }, () => messageOf(id)));
const utc = (at) => {
  const date = new Date(at);
  return [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate(), date.getUTCHours(), date.getUTCMinutes()];
};

test('there are messages and languages to say', () => {
  assert.ok(Object.keys(declared).length >= 20);
  assert.deepEqual(Object.keys(languages).sort(), ['en', 'en-XA', 'es']);
});

for (const [key, language] of Object.entries(languages))
  for (const decimalSign of ['point', 'comma'])
    test(`${messages.length} messages in ${key} with a decimal ${decimalSign} are the same in both`, () => {
      const say = speaker(language, languages.en, { titleOf: (name) => name, decimalSign, local: utc });
      const args = ['engine', 'say', '--language', key, ...(decimalSign === 'comma' ? ['--decimal-comma'] : [])];
      const said = JSON.parse(run(dwell, args, JSON.stringify(messages)));
      assert.equal(said.length, messages.length);
      messages.forEach((message, i) => assert.equal(say(message), said[i], JSON.stringify(message)));
      // A message without its pattern is shown as its id; "[read]" is a mark, "[en] …" a text whose reader's language is missing.
      const ids = said.flatMap((text) => [...text.matchAll(/\[([a-z_]+)\]/g)].map(([, id]) => id)).filter((id) => id in declared);
      assert.deepEqual(ids, [], 'every message has its pattern');
    });
