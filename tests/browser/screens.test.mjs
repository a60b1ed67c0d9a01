// Every screen on phone, tablet and desktop, light and dark: no accessibility violation, nothing wider than the screen.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { changeOf, chartSound, engineHere, launch, open, pictures, quiet, serve, soundName, until, violations } from './ward.mjs';

let ward, browser;
before(async () => {
  ward = await serve(60);
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const sizes = { phone: [390, 844], tablet: [820, 1180], desktop: [1440, 1000] };

for (const [size, [width, height]] of Object.entries(sizes))
  for (const dark of [false, true])
    test(`${size}, ${dark ? 'dark' : 'light'}: every screen is accessible, fits, and looks as in the guide`, async () => {
      const still = await serve(60, { still: true });
      const { page, context, faults } = await open(browser, still.address, { width, height, dark, still: true });
      await page.getByText('Next visit').waitFor();
      const states = (await (await context.request.get(`${still.address}/api/ward`)).json()).states;
      const dwelling = states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity').id;
      const planned = states.find((one) => one.patient.family === 'LINDQUIST').id;
      const screens = { watch: 'watch', line: `watch/${dwelling}/check`, plan: `plan/${planned}`, place: `place/${planned}`, infuse: `infuse/${dwelling}`, remove: `remove/${dwelling}`, learn: 'learn', handover: 'handover', begin: 'begin', policy: 'policy', practice: 'practice', settings: 'settings' };
      const changes = [];
      for (const [name, hash] of Object.entries(screens)) {
        await page.goto(`${still.address}/#/${hash}`);
        await page.locator('main h1, main h2').first().waitFor();
        await quiet(page);
        assert.deepEqual(await violations(page), [], `${name} on ${size}`);
        const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.ok(wider <= 0, `${name} on ${size} is ${wider} px too wide`);
        changes.push(await changeOf(page, `${name}-${size}${dark ? '-dark' : ''}`));
      }
      assert.deepEqual(changes.filter((change) => change !== null), [], 'wanted? then run with DWELL_KEEP_PICTURES=1 and look at them');
      assert.deepEqual(faults, []);
      await context.close();
      await still.stop();
    });

// With the first part of the device's own engine; the whole engine follows behind it, when the screen stands.
test('the first transfer stays under 320 KB compressed, the first part of the engine in it, fonts left out', async () => {
  const { page, context } = await open(browser, ward.address, { who: null, keepsPage: false });
  const client = await context.newCDPSession(page);
  await client.send('Network.enable');
  await client.send('Network.setCacheDisabled', { cacheDisabled: true });
  const bytes = new Map();
  const names = new Map();
  client.on('Network.responseReceived', ({ requestId, response }) => names.set(requestId, new URL(response.url).pathname));
  client.on('Network.loadingFinished', ({ requestId, encodedDataLength }) => {
    const name = names.get(requestId) ?? '';
    if (name !== '' && !name.endsWith('.woff2') && !name.includes('/api/')) bytes.set(name, encodedDataLength);
  });
  await page.reload();
  await page.getByLabel('Name and role').fill('M. Koller');
  await page.getByRole('button', { name: 'Start charting' }).click();
  await page.getByText('Next visit').waitFor();
  // What comes after the screen comes behind it; the engine's first part, which a worker fetches, counts all the same.
  let total = [...bytes.values()].reduce((sum, size) => sum + size, 0);
  let engine = 0;
  for (const file of ['dwell-first.js', 'dwell-first.wasm']) {
    const answer = await context.request.head(`${ward.address}/${file}`, { headers: { 'Accept-Encoding': 'br' } });
    assert.equal(answer.headers()['content-encoding'], 'br');
    engine += Number(answer.headers()['content-length']);
  }
  total += engine;
  console.log(`# first transfer: ${Math.round(total / 1000)} KB, ${Math.round(engine / 1000)} KB of it the engine`);
  assert.ok(total > 100_000 && total < 320_000, `${total} bytes`);
  await context.close();
});

test('without a network the entry stays on this device and is sent later', async () => {
  const { page, context } = await open(browser, ward.address);
  await page.getByText('Next visit').waitFor();
  const states = (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
  const id = states.find((one) => one.stage === 'dwelling' && one.running).id;
  await page.goto(`${ward.address}/#/watch/${id}/check`);
  await page.getByRole('button', { name: soundName }).waitFor();
  await engineHere(page); // it comes in the background
  await context.setOffline(true);
  await chartSound(page);
  await page.getByRole('banner').getByText(/1 entry on this device only/).waitFor();
  await context.setOffline(false);
  await page.getByText('All on the server').waitFor({ timeout: 40_000 });
  await context.close();
});

test('without a network the page opens, shows the ward as last seen, charts, and sends it later', async () => {
  const { page, context, faults } = await open(browser, ward.address);
  page.setDefaultTimeout(15_000);
  await page.getByText('Next visit').waitFor();
  await page.evaluate(() => navigator.serviceWorker.ready);
  await until(() => page.evaluate(async () => (await caches.keys()).length > 0 && navigator.serviceWorker.controller !== null), 'the page is kept');
  const states = (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
  const id = states.find((one) => one.stage === 'dwelling' && one.running).id;
  await page.goto(`${ward.address}/#/watch/${id}`); // a line that was opened can be gone on with
  await page.locator('section[aria-labelledby=charted] li').first().waitFor();
  await page.waitForTimeout(500);
  await page.goto(`${ward.address}/#/watch`);
  await context.setOffline(true);
  await page.reload();
  await page.locator('main').getByText(/As it stood .*; the record cannot be reached\./).waitFor();
  await page.getByText('Next visit').waitFor();
  await page.screenshot({ path: join(pictures, 'offline.png') });
  assert.deepEqual(await violations(page), []);
  await page.goto(`${ward.address}/#/watch/${id}/check`);
  await chartSound(page);
  await page.getByText('Caution. On this device only, not yet in the record', { exact: true }).waitFor();
  await page.getByText(/site checked, /).first().waitFor();
  const charted = page.locator('section[aria-labelledby=charted] li').first();
  await charted.getByText('M. Koller, nurse').waitFor(); // the line as it will be: folded on the device
  const picture = await page.screenshot({ clip: { x: 0, y: 0, width: 200, height: 120 } });
  await page.goto(`${ward.address}/#/watch/${id}/check`);
  await page.getByRole('button', { name: /^Sizes/ }).click();
  await page.locator('input[type=file]').setInputFiles({ name: 'site.png', mimeType: 'image/png', buffer: picture });
  await page.getByText('Photograph charted.').waitFor();
  await page.getByRole('banner').getByText(/2 entries on this device only/).waitFor();
  await page.waitForFunction(() => [...document.querySelectorAll('main img')].some((one) => one.naturalWidth === 200)); // from here
  await page.reload(); // a flat battery loses nothing
  await page.getByText('Caution. On this device only, not yet in the record', { exact: true }).waitFor();
  await charted.getByText('M. Koller, nurse').waitFor();
  const kept = await page.evaluate(async () => {
    const database = await new Promise((done) => (indexedDB.open('dwell-outbox').onsuccess = (event) => done(event.target.result)));
    const rows = await new Promise((done) => (database.transaction('entries').objectStore('entries').getAll().onsuccess = (event) => done(event.target.result)));
    return rows.map((row) => ({ names: Object.keys(row).sort(), text: new TextDecoder().decode(row.sealed.data) }));
  });
  assert.deepEqual(kept[0].names, ['id', 'sealed', 'settled_at', 'status']);
  assert.ok(!kept[0].text.includes('site_checked'), 'what lies on the device is sealed');
  await context.setOffline(false);
  await page.getByText('All on the server').waitFor({ timeout: 40_000 });
  await page.getByText('Caution. On this device only, not yet in the record', { exact: true }).waitFor({ state: 'detached' });
  const { last_check, photos } = (await (await context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;
  assert.equal(last_check.author, 'M. Koller, nurse');
  const sent = await context.request.get(`${ward.address}/api/photos/${photos.at(-1).photo.hash}`);
  assert.equal((await sent.body()).length, photos.at(-1).photo.bytes);
  const left = await page.evaluate(async () => {
    const database = await new Promise((done) => (indexedDB.open('dwell-pictures').onsuccess = (event) => done(event.target.result)));
    return new Promise((done) => (database.transaction('parts').objectStore('parts').count().onsuccess = (event) => done(event.target.result)));
  });
  assert.equal(left, 0, 'a picture that the server has is forgotten here');
  assert.deepEqual(faults.filter((fault) => !fault.includes('ERR_INTERNET_DISCONNECTED')), []);
  await context.close();
});

test('two tablets without a network chart on one line; both entries stand, in the order in which things happened', async () => {
  const tablets = [await open(browser, ward.address, { width: 820, height: 1180, who: 'A. Berg, nurse' }), await open(browser, ward.address, { width: 820, height: 1180, who: 'B. Cole, nurse' })];
  const states = (await (await tablets[0].context.request.get(`${ward.address}/api/ward`)).json()).states;
  const id = states.filter((one) => one.stage === 'dwelling' && one.running)[1].id;
  for (const { page, context } of tablets) {
    page.setDefaultTimeout(15_000);
    await page.getByText('Next visit').waitFor();
    await until(() => page.evaluate(async () => (await caches.keys()).length > 0 && navigator.serviceWorker.controller !== null), 'the page is kept');
    await page.goto(`${ward.address}/#/watch/${id}/check`);
    await page.getByRole('button', { name: soundName }).waitFor();
    await context.setOffline(true);
  }
  await chartSound(tablets[0].page);
  await tablets[0].page.getByText('Caution. On this device only, not yet in the record', { exact: true }).waitFor();
  await tablets[1].page.getByText('Redness', { exact: true }).click();
  await tablets[1].page.getByRole('button', { name: /^Chart grade/ }).click();
  await tablets[1].page.getByText('Caution. On this device only, not yet in the record', { exact: true }).waitFor();
  // The later one comes back first.
  for (const { page, context } of tablets.toReversed()) {
    await context.setOffline(false);
    await page.getByText('All on the server').waitFor({ timeout: 40_000 });
  }
  const { history, last_check } = (await (await tablets[0].context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;
  const own = history.filter((entry) => entry.kind === 'site_checked' && /Berg|Cole/.test(entry.author));
  assert.deepEqual(own.map((entry) => entry.author), ['A. Berg, nurse', 'B. Cole, nurse']);
  assert.equal(last_check.author, 'B. Cole, nurse');
  for (const { context } of tablets) await context.close();
});
