// Units against a library that knows nothing of this project: the UCUM implementation of the U.S. National Library of
// Medicine (npm @lhncbc/ucum-lhc). Every unit that the engine accepts must be a valid UCUM unit, and one of it must come
// to the same number of the kind's first unit as there.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { test } from 'node:test';

const require = createRequire(new URL('../../web/package.json', import.meta.url));
const { UcumLhcUtils } = require('@lhncbc/ucum-lhc');
const ucum = UcumLhcUtils.getInstance();
const dwell = process.env.DWELL_BINARY ?? 'build/release/dwell';

function engine(name, input) {
  const run = spawnSync(dwell, ['engine', 'call', name], { input: JSON.stringify(input), encoding: 'utf8' });
  return run.status === 0 ? JSON.parse(run.stdout) : { refused: run.stderr };
}

const list = JSON.parse(spawnSync(dwell, ['engine', 'list', '--schemas'], { encoding: 'utf8', maxBuffer: 1 << 26 }).stdout);

/** Unit lists stand in the schemas: gather each distinct list with the words that describe it. */
function unitLists(schema, found = new Map()) {
  if (Array.isArray(schema)) schema.forEach((part) => unitLists(part, found));
  else if (schema && typeof schema === 'object') {
    const unit = schema.properties?.unit;
    const units = unit?.enum ?? (unit?.const ? [unit.const] : undefined);
    if (units) found.set(units.join(' '), units);
    Object.values(schema).forEach((part) => unitLists(part, found));
  }
  return found;
}

const kinds = list.find((f) => f.name === 'quantity.read').input.properties.quantity.enum;

/** Which kind reads all of these units, the first of them being the one it writes. */
function kindOf(units) {
  return kinds.find((quantity) => {
    const read = engine('quantity.read', { quantity, text: `1 ${units[0]}` });
    return !read.refused && read.unit === units[0];
  });
}

/** 1 stands for a plain share; the library wants no unit there. */
const plain = new Set(['1']);

/** UCUM refuses even a like conversion of arbitrary units such as [iU]: prefix and time are held against those of a gram. */
const counted = (unit) => unit.replace('[iU]', 'g');

const lists = [...unitLists(list).values()];

test('the engine takes quantities of many kinds', () => assert.ok(lists.length >= 20, `${lists.length} kinds`));

for (const units of lists) {
  const kind = kindOf(units);
  test(`${kind ?? units[0]}: ${units.length} units convert as in UCUM`, () => {
    assert.ok(kind || units[0] === 's' || units[0] === 'Cel', `no kind reads ${units}`);
    for (const unit of units.filter((one) => !plain.has(one))) {
      assert.equal(ucum.validateUnitString(unit).status, 'valid', `${unit} is no UCUM unit`);
      // Nothing to convert.
      if (!kind || unit === units[0]) continue;
      const ours = engine('quantity.read', { quantity: kind, text: `1 ${unit}` });
      assert.ok(!ours.refused, `${unit}: ${ours.refused}`);
      const theirs = ucum.convertUnitTo(counted(unit), 1, counted(units[0]));
      assert.equal(theirs.status, 'succeeded', `${unit} to ${units[0]}: ${theirs.msg}`);
      const error = Math.abs(ours.value - theirs.toVal) / Math.abs(theirs.toVal);
      // Digits beyond the sixth differ where a conventional unit has a rounded definition (mmHg).
      assert.ok(error < 2e-6, `1 ${unit}: ours ${ours.value}, UCUM ${theirs.toVal} ${units[0]}`);
    }
  });
}

test('mass and substance of creatinine agree through its molar mass', () => {
  // 113.12 g/mol: 1 mg/dL is 88.4 micromol/L.
  const moles = ucum.convertUnitTo('mg/dL', 1, 'umol/L', { molecularWeight: 113.12 });
  assert.ok(Math.abs(moles.toVal - 88.4) < 0.01, `${moles.toVal} ${moles.msg}`);
});
