// Packs held before the camera of a real browser, one after the other: a nurse with full hands types nothing. The
// camera's picture is made here, from codes that are written here: tilted, unsteady, unevenly lit and grainy.
import assert from 'node:assert/strict';
import { mkdtemp, open as openFile, readFile, rm } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium, open, pictures, serve, violations } from './ward.mjs';

const fromWeb = createRequire(fileURLToPath(new URL('../../web/package.json', import.meta.url)));
const { prepareZXingModule, writeBarcode } = await import(pathToFileURL(fromWeb.resolve('zxing-wasm/writer').replace('/cjs/', '/es/')));

const square = { format: 'DataMatrix', options: 'gs1,forceSquare', module: 9 };
const striped = { format: 'Code128', options: 'gs1', module: 2 };
/** In the order in which they are shown. Invented makers and lots. */
const packs = [
  { code: '(01)09506000134352(17)310531(10)CATH-7(21)S0042', turn: -9, ...square },
  { code: '(01)09506000134369(17)240228(10)OLD-1', turn: 6, ...square }, // expired
  { code: '(01)09506000134369(17)300131(10)FL-22', turn: 14, ...square },
  { code: '(01)09506000134376(17)300630(10)D5', turn: -4, ...striped },
];

/** Seconds: a slow machine has `lead` to fetch and start the reader, and must read a frame or two of each pack. */
const lead = 4, shown = 2, pause = 1;
const width = 640, height = 480, perSecond = 10;

/** Noise that is the same at each run. */
let seed = 7;
const random = () => ((seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0) / 2 ** 32);

/** One frame, brightness then two colours at half size: a desk, and a label with its code on it. */
function frame(symbol, pack, moment) {
  const light = Buffer.alloc(width * height);
  const blue = Buffer.alloc((width * height) / 4, 120), red = Buffer.alloc((width * height) / 4, 134);
  const angle = (((pack?.turn ?? 0) + 2 * Math.sin(moment * 3)) * Math.PI) / 180;
  const cos = Math.cos(angle), sin = Math.sin(angle);
  const midX = width / 2 + 10 * Math.sin(moment * 2.3), midY = height / 2 + 7 * Math.cos(moment * 1.7);
  const module = pack?.module ?? 1;
  const tall = pack?.format === 'Code128' ? 2.2 : 1; // stripes are longer than they are written
  const halfWide = symbol ? Math.max((symbol.width * module) / 2 + 22, 190) : 0;
  const halfHigh = symbol ? (symbol.height * module * tall) / 2 + 34 : 0;
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const dx = x - midX, dy = y - midY;
      const u = dx * cos + dy * sin, v = dy * cos - dx * sin;
      let value = 96 + 14 * Math.sin((x + 3 * Math.sin(y / 37)) / 5);
      if (symbol && Math.abs(u) < halfWide && Math.abs(v) < halfHigh) {
        value = v < -halfHigh + 16 ? 150 : 226;
        const column = Math.floor(u / module + symbol.width / 2), row = Math.floor(v / (module * tall) + symbol.height / 2);
        if (column >= 0 && row >= 0 && column < symbol.width && row < symbol.height && symbol.data[row * symbol.width + column] === 0) value = 38;
        const colour = (y >> 1) * (width / 2) + (x >> 1);
        blue[colour] = v < -halfHigh + 16 ? 160 : 129;
        red[colour] = v < -halfHigh + 16 ? 108 : 127;
      }
      const lit = 1.06 - 0.3 * Math.hypot(x - 210, y - 120) / width;
      light[y * width + x] = Math.max(16, Math.min(235, value * lit + (random() + random() + random() - 1.5) * 22));
    }
  // A lens is never quite sharp.
  const soft = Buffer.from(light);
  for (let i = width + 1; i < light.length - width - 1; i++) soft[i] = (light[i] * 4 + light[i - 1] + light[i + 1] + light[i - width] + light[i + width]) >> 3;
  return Buffer.concat([soft, blue, red]);
}

async function film(path) {
  const wasm = await readFile(fromWeb.resolve('zxing-wasm/writer/zxing_writer.wasm'));
  prepareZXingModule({ overrides: { wasmBinary: wasm.buffer.slice(wasm.byteOffset, wasm.byteOffset + wasm.byteLength) } });
  const out = await openFile(path, 'w');
  await out.write(`YUV4MPEG2 W${width} H${height} F${perSecond}:1 Ip A1:1 C420jpeg\n`);
  let moment = 0;
  const put = async (seconds, symbol, pack) => {
    for (let i = 0; i < seconds * perSecond; i++, moment += 1 / perSecond) {
      await out.write('FRAME\n');
      await out.write(frame(symbol, pack, moment));
    }
  };
  await put(lead);
  for (const pack of packs) {
    const { symbol, error } = await writeBarcode(pack.code, { format: pack.format, options: pack.options, scale: 1, addQuietZones: false });
    assert.equal(error, '');
    await put(shown, symbol, pack);
    await put(pause);
  }
  await out.close();
}

const launch = (...more) =>
  chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-sync', ...more] });

let ward, box, browser, line;

before(async () => {
  box = await mkdtemp(join(tmpdir(), 'dwell-packs-'));
  await film(join(box, 'packs.y4m'));
  ward = await serve(20);
  browser = await launch('--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream', `--use-file-for-fake-video-capture=${join(box, 'packs.y4m')}`);
});
after(async () => {
  await browser?.close();
  await ward?.stop();
  await rm(box, { recursive: true, force: true });
});

/** The supplies step of a line that is planned, as a nurse gets there. */
async function supplies(page) {
  page.setDefaultTimeout(20_000);
  const { states } = await (await page.request.get(`${ward.address}/api/ward`)).json();
  line ??= states.find((one) => one.stage === 'planned').id;
  await page.goto(`${ward.address}/#/place/${line}`);
  await page.locator('#step-title').waitFor();
  for (let i = 0; i < 12 && (await page.locator('#step-title').textContent()) !== 'Supplies'; i++) await page.getByRole('button', { name: 'Done, next' }).click();
  await page.getByRole('heading', { name: 'Supplies' }).waitFor();
}
const opener = (page) => page.getByRole('button', { name: 'Scan with the camera' });
const closer = (page) => page.getByRole('button', { name: 'Close the camera' });
const taken = (page, text) => page.getByRole('listitem').filter({ hasText: text });
const tracks = (page) => page.evaluate(() => globalThis.seen.getTracks().map((track) => track.readyState));
const rememberStream = (page) =>
  page.waitForFunction(() => (globalThis.seen = document.querySelector('video')?.srcObject ?? undefined) !== undefined);

test('four packs shown one after the other are taken, but for the one that expired; nothing is typed', async () => {
  const { page, context, faults } = await open(browser, ward.address, { width: 390, height: 844 });
  const fetched = [];
  page.on('request', (request) => fetched.push(new URL(request.url()).pathname));
  await supplies(page);
  assert.equal(fetched.filter((path) => path.includes('zxing')).length, 0, 'the reader is fetched only when it is wanted');
  await opener(page).click();
  await rememberStream(page);
  await page.getByRole('heading', { name: 'Show the pack: Catheter' }).waitFor();
  for (const part of [page.locator('#scan-title'), closer(page)]) {
    const { y, height } = await part.boundingBox();
    assert.ok(y >= 0 && y + height < 770, 'the viewfinder is in sight from its title to its last button');
  }

  await taken(page, 'catheter: taken, 31 May 2031, CATH-7').waitFor({ timeout: 40_000 });
  await page.getByRole('heading', { name: 'Show the pack: Flush' }).waitFor();
  await page.getByText('Not usable: expired on 28 Feb 2024: take another flush').filter({ visible: true }).first().waitFor();
  assert.equal(await taken(page, 'flush').count(), 0);
  await taken(page, 'flush: taken, 31 Jan 2030, FL-22').waitFor();
  await page.getByText('Flush: taken, FL-22, in date, to 31 Jan 2030').waitFor();
  await page.screenshot({ path: join(pictures, 'scan-phone.png') });
  await taken(page, 'dressing: taken, 30 Jun 2030, D5').waitFor();

  // The film begins anew: what was taken once is not taken twice, and not as something else.
  await page.getByText(/^Caution\. This pack, or one just like it, is taken already as: Catheter/).waitFor({ timeout: 40_000 });
  assert.equal(await page.getByRole('listitem').filter({ hasText: ': taken' }).count(), 3);
  assert.deepEqual(await violations(page), []);

  await page.keyboard.press('Escape');
  await opener(page).waitFor();
  assert.deepEqual(await tracks(page), ['ended']);
  assert.equal(await opener(page).evaluate((button) => button === document.activeElement), true);
  assert.deepEqual(faults, []);
  await context.close();
});

test('the camera is let go when it is closed, when the step is left, and when the page is out of sight', async () => {
  const { page, context, faults } = await open(browser, ward.address);
  await supplies(page);
  await opener(page).focus();
  await page.keyboard.press('Enter');
  await rememberStream(page);
  assert.deepEqual(await tracks(page), ['live']);
  assert.equal(await closer(page).evaluate((button) => button === document.activeElement), true);
  await page.keyboard.press('Enter');
  await opener(page).waitFor();
  assert.deepEqual(await tracks(page), ['ended']);

  await opener(page).click();
  await rememberStream(page);
  await page.evaluate(() => {
    Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));
    delete document.visibilityState;
  });
  await page.getByText('The camera was switched off while this page was out of sight.').waitFor();
  assert.deepEqual(await tracks(page), ['ended']);

  await opener(page).click();
  await rememberStream(page);
  await page.getByRole('button', { name: 'Done, next' }).click();
  await page.getByRole('heading', { name: 'Clean hands' }).waitFor();
  assert.deepEqual(await tracks(page), ['ended']);
  assert.deepEqual(faults, []);
  await context.close();
});

test('a hand scanner types into the field that has the focus, again and again', async () => {
  const { page, context, faults } = await open(browser, ward.address);
  await supplies(page);
  const field = page.locator('#pack');
  assert.equal(await field.evaluate((input) => input === document.activeElement), true);
  /** Keys in quick succession, the separator as Control and a bracket, Enter at the end. */
  const scan = async (...parts) => {
    for (const [i, part] of parts.entries()) {
      if (i > 0) await page.keyboard.press('Control+]');
      await page.keyboard.type(part);
    }
    await page.keyboard.press('Enter');
  };
  await scan(']d2010950600013436917240228' + '10OLD-1');
  await page.getByText(/expired on 28 Feb 2024/).first().waitFor();
  await scan(']d2010950600013435217310531' + '10CATH-7', '21S0042');
  await taken(page, 'catheter: taken, 31 May 2031, CATH-7').waitFor();
  await scan(']C1010950600013436917300131' + '10FL-22');
  await taken(page, 'flush: taken, 31 Jan 2030, FL-22').waitFor();
  await scan(']C1010950600013436917300131' + '10FL-22');
  await page.getByRole('button', { name: 'It is one more, take it too: Flush' }).click();
  assert.equal(await taken(page, 'flush: taken, 31 Jan 2030, FL-22').count(), 2);
  assert.deepEqual(faults, []);
  await context.close();
});

test('without a camera the page says so, and typing stays', async () => {
  const bare = await launch();
  const { page, faults } = await open(bare, ward.address);
  await supplies(page);
  await opener(page).click();
  await page.getByText(/(No camera was found|does not let this page use the camera).*type the code/i).waitFor();
  assert.equal(await opener(page).evaluate((button) => button === document.activeElement), true);
  await page.locator('#pack').fill('(01)09506000134352(17)310531(10)CATH-7');
  await page.keyboard.press('Enter');
  await taken(page, 'catheter: taken, 31 May 2031, CATH-7').waitFor();
  assert.deepEqual(faults, []);
  await bare.close();
});
