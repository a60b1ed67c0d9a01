// What is typed and not yet charted: through a reload and a step back, sealed, for one person alone, gone once charted.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, open, serve, soundName, until, violations } from './ward.mjs';

let ward, browser, page, context, faults;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address));
  page.setDefaultTimeout(30_000);
  await page.getByText('Next visit').waitFor();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const go = (hash) => page.goto(`${ward.address}/#/${hash}`);
const broughtBack = () => page.locator('main').getByText(/^Brought back: typed at \d\d:\d\d, not charted/);
const statesOf = async () => (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
const dwelling = async (nth) => (await statesOf()).filter((one) => one.stage === 'dwelling' && one.running).at(nth).id;
/** All that this device keeps of typed work, as it lies there. */
const kept = () =>
  page.evaluate(async () => {
    const database = await new Promise((done) => (indexedDB.open('dwell-typed').onsuccess = (event) => done(event.target.result)));
    const rows = await new Promise((done) => (database.transaction('parts').objectStore('parts').getAll().onsuccess = (event) => done(event.target.result)));
    const keys = await new Promise((done) => (database.transaction('parts').objectStore('parts').getAllKeys().onsuccess = (event) => done(event.target.result)));
    return rows.map((row, at) => `${keys[at]} ${new TextDecoder().decode(row.data)}`);
  });
const settled = () => page.waitForTimeout(200);

test('a new patient: a reload in the middle, and all of it stands there, said to be of before', async () => {
  await go('begin');
  await page.getByLabel('Family name').fill('ANDRADE');
  await page.getByLabel('Record number').fill('T-77');
  await page.getByLabel('Born').fill('1951-02-03');
  await page.getByText('3 Feb 1951, 75 y').waitFor(); // in words, however the browser writes it
  await page.getByRole('combobox', { name: 'Sex' }).selectOption('female');
  await page.getByLabel('Fluid', { exact: true }).selectOption({ index: 3 });
  await page.getByLabel('What for').selectOption('rehydration');
  await settled();
  await page.reload();
  await broughtBack().waitFor();
  assert.equal(await page.getByLabel('Family name').inputValue(), 'ANDRADE');
  assert.equal(await page.getByLabel('Born').inputValue(), '1951-02-03');
  assert.equal(await page.getByLabel('What for').inputValue(), 'rehydration');
  assert.deepEqual(await violations(page), []);
  const lying = await kept();
  assert.equal(lying.length, 1);
  assert.ok(!/ANDRADE|Koller/.test(lying[0]), 'what lies on the device is sealed');
});

test('whoever charts next does not see it; the one who typed it does', async () => {
  await page.getByRole('button', { name: 'Change person' }).click();
  await page.getByLabel('Name and role').fill('B. Cole, nurse');
  await page.getByRole('button', { name: 'Start charting' }).click();
  await go('begin');
  await settled();
  assert.equal(await page.getByLabel('Family name').inputValue(), '');
  await page.getByRole('button', { name: 'Change person' }).click();
  await page.getByLabel('Name and role').fill('M. Koller, nurse');
  await page.getByRole('button', { name: 'Start charting' }).click();
  await go('begin');
  await broughtBack().waitFor();
});

test('refused, all stands; charted with purpose and sex, nothing of it stays on this device', async () => {
  await page.getByLabel('Bed', { exact: true }).fill('31');
  await page.getByLabel('Volume').fill('a bag');
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await page.getByText(/a bag/).first().waitFor();
  assert.equal(await page.getByLabel('Family name').inputValue(), 'ANDRADE');
  await page.getByLabel('Volume').fill('500 mL');
  await page.getByLabel('Over', { exact: true }).fill('4 h');
  await page.getByLabel('How long a line will be needed').fill('2 d');
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await page.getByRole('link', { name: 'To the plan' }).waitFor();
  const state = (await statesOf()).find((one) => one.patient.family === 'ANDRADE');
  assert.equal(state.order.purpose, 'rehydration');
  assert.equal(state.order.therapy.text, '2 d');
  assert.equal(state.patient.sex, 'female');
  await settled();
  assert.deepEqual(await kept(), []);
});

test('signs that were ticked come back after a reload, ticked, and can be let go', async () => {
  const id = await dwelling(2);
  await go(`watch/${id}/check`);
  await page.getByText('Redness', { exact: true }).click();
  await page.getByText('Swelling', { exact: true }).click();
  await page.getByRole('button', { name: /^Sizes/ }).click();
  await page.getByLabel('Longest diameter of the swelling').fill('3 cm');
  await page.getByRole('button', { name: 'Close' }).click();
  await settled();
  await page.reload();
  await broughtBack().waitFor();
  assert.ok(await page.getByRole('checkbox', { name: /Redness/ }).isChecked());
  assert.equal(await page.getByLabel('Longest diameter of the swelling').inputValue(), '3 cm');
  await page.getByRole('button', { name: /^Chart grade \d/ }).waitFor(); // graded anew
  await page.getByRole('button', { name: 'Start anew' }).click();
  assert.ok(!(await page.getByRole('checkbox', { name: /Redness/ }).isChecked()));
  await settled();
  assert.deepEqual(await kept(), []);
});

test('a note, a vein and a new rate come back too', async () => {
  const id = await dwelling(2);
  await go(`watch/${id}`);
  await page.getByText('Chart something else').click();
  await page.getByRole('link', { name: 'Note', exact: true }).click();
  await page.locator('#care-second').fill('family asked about the bruise');
  await settled();
  await page.reload();
  await broughtBack().waitFor();
  assert.equal(await page.locator('#care-second').inputValue(), 'family asked about the bruise');
  await page.getByRole('button', { name: 'Chart it', exact: true }).click();
  await page.getByText('family asked about the bruise').filter({ visible: true }).first().waitFor();

  await go(`infuse/${id}`);
  await page.locator('#new-rate').fill('90 mL/h');
  await settled();
  await page.reload();
  await broughtBack().waitFor();
  assert.equal(await page.locator('#new-rate').inputValue(), '90 mL/h');
  await page.getByRole('button', { name: 'Start anew' }).click();

  const planned = (await statesOf()).find((one) => one.patient.family === 'LINDQUIST').id;
  await go(`plan/${planned}`);
  await page.getByText('Pick by name').click();
  await page.getByRole('button', { name: /^Left forearm, middle third/i }).first().click();
  await page.locator('#vein-width').fill('2.8 mm');
  await page.locator('#vein-depth').fill('2.5 mm');
  await page.getByRole('button', { name: 'Add this vein' }).click();
  await page.getByText(/2\.8 mm \/ 2\.5 mm/).waitFor();
  await settled();
  await page.reload();
  await page.getByText(/2\.8 mm \/ 2\.5 mm/).waitFor();
  await broughtBack().waitFor();
  assert.deepEqual(faults.filter((fault) => !fault.includes('422')), []);
});

test('the ward is asked before two people lie in one bed, or one number belongs to two', async () => {
  const [there] = await statesOf();
  await go('begin');
  await page.getByLabel('Family name').fill('OTHER');
  await page.getByLabel('Record number').fill(there.patient.number);
  await page.getByText(`This record number belongs to ${there.patient.family}, ${there.patient.given}`).first().waitFor();
  await page.getByLabel('Record number').fill('T-99');
  await page.getByLabel('Bed', { exact: true }).fill(there.place.bed);
  await page.getByText(`This bed is taken by ${there.patient.family}, ${there.patient.given}`).first().waitFor();
  await page.getByLabel('Family name').fill('');
  await page.getByLabel('Record number').fill('');
  await page.getByLabel('Bed', { exact: true }).fill('');
});

test('what is ticked is never charted as all normal', async () => {
  const id = await dwelling(3);
  await go(`watch/${id}/check`);
  await page.getByRole('button', { name: soundName }).waitFor();
  await page.getByText('Swelling', { exact: true }).click();
  await page.getByRole('button', { name: soundName }).waitFor({ state: 'detached' });
  await page.getByText('Swelling', { exact: true }).click();
  await page.getByRole('button', { name: soundName }).waitFor();
  // A dressing that is not whole is not all normal either, and can be charted.
  await page.getByRole('button', { name: 'Not sound' }).click();
  await page.getByRole('button', { name: soundName }).waitFor({ state: 'detached' });
  await page.getByRole('button', { name: 'Chart: dressing not sound' }).click();
  await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  const { state } = await (await context.request.get(`${ward.address}/api/lines/${id}`)).json();
  assert.equal(state.last_check.check.dressing_intact, false);
});

test('a rate ten times the ordered one asks for a reason; a search ends when a line is opened', async () => {
  const state = (await statesOf()).find((one) => one.stage === 'dwelling' && one.running && one.order);
  await go(`infuse/${state.id}`);
  await page.locator('#new-rate').fill('1500 mL/h');
  await page.getByRole('button', { name: 'Look before it runs' }).click();
  await page.getByText('This is not what was ordered.').first().waitFor();
  const go_on = page.getByRole('button', { name: 'Change the rate' });
  assert.ok(await go_on.isDisabled());
  assert.deepEqual(await violations(page), []);
  await page.locator('#before-reason').fill('emergency, asked Dr Stone');
  await go_on.click();
  await page.getByText('1\u202f500 mL/h').first().waitFor();
  const lastReason = async () => (await (await context.request.get(`${ward.address}/api/lines/${state.id}`)).json()).events.at(-1).deviation_reason;
  await until(async () => (await lastReason()) === 'emergency, asked Dr Stone', 'it is charted with its reason');
  await go('watch');
  await page.getByLabel('Find a patient').fill(state.patient.family.toLowerCase());
  await page.getByText(/of \d+ shown/).waitFor();
  await page.getByRole('link', { name: new RegExp(state.patient.family) }).first().click();
  await page.getByText('What falls due').waitFor();
  await go('watch');
  await page.getByText('Next visit').waitFor();
  assert.equal(await page.getByLabel('Find a patient').inputValue(), '');
});
