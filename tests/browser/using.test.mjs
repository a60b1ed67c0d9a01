// Before a vein: the need. And a line in use: a push from the first check to the lock, what is not given, and what goes wrong.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launch, open, pictures, serve, until, violations } from './ward.mjs';

let ward, browser, page, context, faults;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address, { width: 390, height: 844 }));
  page.setDefaultTimeout(40_000);
  await page.getByRole('region', { name: 'Lines of the ward on one time axis' }).waitFor();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const go = (hash) => page.goto(`${ward.address}/#/${hash}`);
const states = async () => (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
const stateOf = async (id) => (await (await context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;
const kindsOf = async (id) => (await stateOf(id)).history.map((one) => one.kind);
const main = () => page.locator('.bar .main');
const press = (name) => page.getByRole('button', { name, exact: true }).click();
const step = (name) => page.getByRole('heading', { name, exact: true }).waitFor();
const locked = async (nth) => (await states()).filter((one) => one.stage === 'dwelling' && one.running === undefined && one.findings.length === 0)[nth];
/** The steps to the hub, passed without their clocks. */
async function toTheVein(first) {
  for (const name of [first, 'Scrub the hub', 'Let the hub dry']) {
    await step(name);
    await main().click();
  }
  await step('Blood return');
}
async function shown(name) {
  assert.deepEqual(await violations(page), []);
  for (const [size, viewport] of [['phone', { width: 390, height: 844 }], ['desktop', { width: 1440, height: 900 }]]) {
    await page.setViewportSize(viewport);
    await page.screenshot({ path: join(pictures, `${name}-${size}.png`) });
  }
  await page.setViewportSize({ width: 390, height: 844 });
}
/** A clock, run by the page's own time: started, waited out, done. */
async function waitedOut(name) {
  await step(name);
  await page.getByRole('button', { name: /^Start/ }).click();
  await until(async () => (await main().innerText()).includes('early') === false, 'the clock has run out', 60_000);
  await main().click();
}

test('a plan begins with the need: nothing is preset, and not to place a line is an outcome', async () => {
  const line = (await states()).find((one) => ['planned', 'attempted'].includes(one.stage) && one.need === undefined);
  await go(`plan/${line.id}`);
  await step('Must it be a vein?');
  assert.ok(await main().isDisabled(), 'nothing is supposed');
  assert.equal(await page.locator('[aria-pressed=true]').count(), 0);
  await shown('need-first');
  // With the keyboard alone.
  await page.getByRole('button', { name: 'Cannot swallow or absorb' }).focus();
  await page.keyboard.press('Space');
  assert.ok(await main().isDisabled(), 'the next use is not supposed');
  await page.getByRole('button', { name: 'Within 8 h' }).focus();
  await page.keyboard.press('Enter');
  await main().focus();
  await page.keyboard.press('Enter');
  await until(async () => (await stateOf(line.id)).need?.reviewed.ground === 'cannot_swallow_or_absorb', 'the need is charted');
  await page.getByRole('heading', { name: 'Must it be a vein?' }).waitFor({ state: 'detached' });
});

test('a usable line that is in is shown with its limb and its last flush, and using it is an outcome', async () => {
  const dwelling = await locked(0);
  const { patient } = dwelling;
  await go('begin');
  await page.locator('#begin-family').fill(patient.family);
  await page.locator('#begin-given').fill(patient.given);
  await page.locator('#begin-number').fill(patient.number);
  await page.locator('#begin-bed').fill(dwelling.place.bed);
  await main().click();
  let begun;
  await until(async () => (begun = (await states()).find((one) => one.patient.number === patient.number && one.stage === 'planned')) !== undefined, 'the line is begun');
  await go(`plan/${begun.id}`);
  await step('Already in');
  await page.getByText(/last flushed|not flushed since/).first().waitFor();
  await shown('need-line-in');
  await press('Use that one');
  await until(async () => (await stateOf(begun.id)).not_placed?.not_placed.reason === 'usable_line_in', 'it is an outcome');
});

test('a push: at most six taps beyond the clocks, each volume charted, the line locked', async () => {
  const { id } = await locked(1);
  await go(`use/${id}`);
  let taps = 0;
  const tap = async (what) => (taps++, what.click());
  await tap(page.getByRole('link', { name: 'Push a medicine' }));
  await step('Right patient, right medicine');
  await page.locator('#use-medicine').fill('sodium chloride 0.9 %');
  await page.locator('#use-volume').fill('4 mL');
  await page.locator('#use-over').fill('5 s');
  await shown('use-right');
  await tap(main());
  await waitedOut('Scrub the hub');
  await waitedOut('Let the hub dry');
  await step('Blood return');
  await tap(main());
  await step('Flush first');
  await shown('use-flush');
  assert.match(await main().innerText(), /Flushed 5 mL/);
  await tap(main());
  await waitedOut('Push it');
  await step('Flush');
  await tap(main());
  await step('Lock it');
  await shown('use-lock');
  await tap(main());
  await page.locator('#charted-now').waitFor();
  assert.ok(taps <= 6, `${taps} taps`);
  await until(async () => (await kindsOf(id)).filter((one) => one === 'flushed').length >= 3, 'three volumes are charted');
});

test('what is not known to be harmless is not given when no blood came back', async () => {
  const { id } = await locked(2);
  await go(`use/${id}/push`);
  await step('Right patient, right medicine');
  await page.locator('#use-band').fill('another');
  assert.ok(await main().isDisabled(), 'another patient');
  await page.locator('#use-band').fill('');
  await page.locator('#use-medicine').fill('a drug of no list');
  await page.locator('#use-volume').fill('2 mL of it');
  await page.getByText(/expected/).first().waitFor();
  assert.ok(await main().isDisabled(), 'what cannot be read is not judged');
  await page.locator('#use-volume').fill('2 mL');
  await until(async () => !(await main().isDisabled()), 'it is judged');
  await toTheVein('Right patient, right medicine');
  await page.reload(); // an interruption loses nothing
  await step('Blood return');
  await press('None came');
  await step('Flush first');
  await main().click();
  await step('Push it');
  await page.getByText(/no blood came back: do not give it/).waitFor();
  await shown('use-no-blood');
  await press('Not given: stop');
  await page.waitForURL(/response$/);
  await until(async () => (await stateOf(id)).no_blood_return_at !== undefined, 'it is charted');
  assert.ok(!(await stateOf(id)).pushed.some((one) => one.fluid === 'a drug of no list'), 'nothing was given');
});

test('pain while it goes in is charted with one tap and opens what fits', async () => {
  const { id } = await locked(2);
  await go(`use/${id}/flush`);
  await toTheVein('Right patient');
  await press('Pain');
  await page.waitForURL(/response$/);
  await until(async () => (await stateOf(id)).last_check?.check.signs.present.includes('pain'), 'the pain is charted');
});

test('resistance is charted with one tap; in Spanish', async () => {
  await page.evaluate(() => localStorage.setItem('dwell.language.device', '"es"'));
  await page.reload();
  const { id } = await locked(2);
  await go(`use/${id}/flush`);
  await step('Paciente correcto');
  await shown('use-es');
  await main().click();
  await main().click();
  await main().click();
  await step('Reflujo de sangre');
  await main().click();
  await press('Resistencia');
  await page.waitForURL(/response$/);
  await until(async () => (await stateOf(id)).findings.some((one) => one.responses.includes('occlusion')), 'it is charted');
  assert.deepEqual(faults, []);
});
