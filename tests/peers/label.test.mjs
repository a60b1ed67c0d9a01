// The dressing label as it is printed, read back by the reader of the page: its code names the line, in each size. And the
// same facts make the same bytes, of label, note and handover.
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { prepareReader, readFrame } from '../../web/src/scan/reader.ts';

const root = fileURLToPath(new URL('../../', import.meta.url));
const require = createRequire(join(root, 'web', 'package.json'));
const { PNG } = require('pngjs');
const box = mkdtempSync(join(tmpdir(), 'dwell-label-'));
after(() => rmSync(box, { recursive: true, force: true }));

const binary = process.env.DWELL_BINARY ?? 'build/release/dwell';
const dwell = (...args) => {
  const ended = spawnSync(binary, ['--ledger', join(box, 'ward.sqlite'), ...args], { encoding: 'utf8' });
  assert.equal(ended.status, 0, ended.stderr);
  return ended.stdout;
};
let line = '';

before(async () => {
  const { buffer, byteOffset, byteLength } = readFileSync(require.resolve('zxing-wasm/reader/zxing_reader.wasm'));
  await prepareReader({ bytes: buffer.slice(byteOffset, byteOffset + byteLength) });
  line = /^Line (\S+) begun\.$/m.exec(dwell('plan', 'examples/older_adult_dehydration.toml', '--open', '--bed', '12', '--by', 'M. Koller'))[1];
  dwell('place', line, '--site', 'left forearm_middle cephalic', '--gauge', '22', '--length', '25 mm', '--by', 'M. Koller',
    '--antiseptic', 'chlorhexidine 2 % in 70 % alcohol', '--dried', '35 s', '--blood-return', 'yes', '--flush', '5 mL', '--tolerance', 'well', '--teaching', 'report pain');
});

/** The first page as a picture, as a camera would have it. */
function pictureOf(pdf, dotsPerInch) {
  const drawn = spawnSync('pdftoppm', ['-r', String(dotsPerInch), '-png', '-singlefile', pdf, join(box, 'page')], { encoding: 'utf8' });
  assert.equal(drawn.status, 0, drawn.stderr);
  const { data, width, height } = PNG.sync.read(readFileSync(join(box, 'page.png')));
  return { data: new Uint8ClampedArray(data), width, height };
}

for (const size of ['small', 'usual', 'large'])
  test(`the code of a ${size} label names its line`, async () => {
    const pdf = join(box, `${size}.pdf`);
    dwell('label', line, '--size', size, '--pdf', pdf);
    assert.deepEqual(await readFrame(pictureOf(pdf, 200)), [{ text: `]d1urn:uuid:${line}`, gs1: false }]);
  });

// A note and a sheet say when they were written: the clock stands still, an hour on.
const anHourOn = new Date(Date.now() + 3_600_000).toISOString().slice(0, 19).replace('T', ' ');
for (const document of ['label', 'note', 'handover'])
  test(`the same facts at the same moment make the same bytes: ${document}`, () => {
    const made = ['first', 'second'].map((name) => {
      const pdf = join(box, `${document}-${name}.pdf`);
      const ended = spawnSync('faketime', ['-m', '-f', anHourOn, binary, '--ledger', join(box, 'ward.sqlite'), document, ...(document === 'handover' ? [] : [line]), '--pdf', pdf], { encoding: 'utf8', env: { ...process.env, TZ: 'UTC' } });
      assert.equal(ended.status, 0, ended.stderr);
      return readFileSync(pdf);
    });
    assert.ok(made[0].length > 1_000);
    assert.ok(made[0].equals(made[1]));
  });
