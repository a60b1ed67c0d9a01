// What Dwell says of itself against libraries that know nothing of it: a JSON Schema validator (npm ajv) and the published
// schema of OpenAPI 3.1 (npm @seriousme/openapi-schema-validator).
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { test } from 'node:test';

const require = createRequire(new URL('../../web/package.json', import.meta.url));
const Ajv = require('ajv/dist/2020').default;
const dwell = process.env.DWELL_BINARY ?? 'build/release/dwell';

/** `ends`: 0, and 1 where an answer may be no. */
function run(args, input = '', ends = [0]) {
  const { status, stdout, stderr } = spawnSync(dwell, args, { input, encoding: 'utf8', maxBuffer: 1 << 27 });
  assert.ok(ends.includes(status), `${args.join(' ')}: ${stderr}`);
  return JSON.parse(stdout);
}

const document = run(['engine', 'schema']);
// Formats are annotations here: the engine itself reads dates.
const ajv = new Ajv({ strict: false, validateFormats: false, allErrors: true });
ajv.addSchema(document, 'dwell');
const schemaOf = (reference) => ajv.getSchema(`dwell${reference}`);
const partOf = (name, part) => schemaOf(`#/$defs/Functions/properties/${name}/properties/${part}`);
const faults = (check, value) => (check(value) ? [] : check.errors.map(({ instancePath, message }) => `${instancePath} ${message}`));

const folder = new URL('../../examples/engine/', import.meta.url);
const examples = readdirSync(folder).map((file) => [file.replace(/\.json$/, ''), JSON.parse(readFileSync(new URL(file, folder), 'utf8'))]);

test('the schema document is JSON Schema', () => assert.ok(ajv.validateSchema(document), JSON.stringify(ajv.errors)));

test('every example is an input as the schema has it, and its answer an output', () => {
  assert.ok(examples.length > 50);
  for (const [name, input] of examples) {
    assert.deepEqual(faults(partOf(name, 'input'), input), [], `${name}: input`);
    assert.deepEqual(faults(partOf(name, 'output'), run(['engine', 'call', name], JSON.stringify(input), [0, 1])), [], `${name}: output`);
  }
});

test('a field that nobody knows, and a field that is missing, are no input', () => {
  const check = partOf('dosing.compare_orders', 'input');
  const { first } = examples.find(([name]) => name === 'dosing.compare_orders')[1];
  assert.notDeepEqual(faults(check, { first }), []);
  assert.notDeepEqual(faults(check, { first, second: first, third: first }), []);
});

test('what is written can be read: each form that is written is one of those that are read', () => {
  const library = run(['policy', 'library']);
  assert.deepEqual(faults(schemaOf('#/$defs/engine.Library'), library), []);
  assert.deepEqual(faults(schemaOf('#/$defs/engine.LibraryIn'), library), []);
});

test('the HTTP interface is OpenAPI 3.1', async () => {
  const { Validator } = await import(require.resolve('@seriousme/openapi-schema-validator'));
  const { valid, errors } = await new Validator().validate(run(['engine', 'schema', '--openapi']));
  assert.ok(valid, JSON.stringify(errors, null, 1));
});
