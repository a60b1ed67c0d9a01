// A line that leaves unseen, and a line that nobody needs: charted, alarmed, ended, on the page as a nurse does it.
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
const lines = async () => (await (await context.request.get(`${ward.address}/api/ward`)).json());
const dwelling = async (nth) => (await lines()).states.filter((one) => one.stage === 'dwelling')[nth];
const tasksOf = async (id) => (await lines()).due.find((one) => one.line === id)?.items ?? [];
const seeks = async (id) => (await tasksOf(id)).some((item) => item.task === 'left_unseen');
const main = () => page.locator('.bar .main');
const press = (name) => page.getByRole('button', { name, exact: true }).click();
/** The screen in both languages, a phone and a desk, for a person to look at; and read by axe. */
async function shown(name) {
  assert.deepEqual(await violations(page), []);
  for (const [size, viewport] of [['phone', { width: 390, height: 844 }], ['desktop', { width: 1440, height: 1000 }]]) {
    await page.setViewportSize(viewport);
    await page.screenshot({ path: join(pictures, `${name}-${size}.png`) });
  }
  await page.setViewportSize({ width: 390, height: 844 });
}

test('a patient who left makes an open line an emergency that only its answer ends', async () => {
  const { id } = await dwelling(0);
  await go(`watch/${id}/chart/departed`);
  assert.ok(await main().isDisabled(), 'how is not supposed');
  await press('Bed found empty');
  await shown('departed');
  await main().click();
  await until(() => seeks(id), 'the server seeks it');
  // Whatever screen one goes to.
  await go('learn');
  const band = page.getByRole('link', { name: /Find this line/ });
  await band.waitFor();
  await page.reload();
  await band.waitFor();
  // A look at the site does not end it.
  await go(`watch/${id}`);
  await page.locator('.first.alarm').getByText('Find this line: the patient has left').waitFor();
  await shown('left-unseen');
  await go('learn');
  await band.click();
  await page.waitForURL(/chart\/left_with_line$/);
  await page.getByLabel('Why it stays in').fill('antibiotic at home');
  await main().click();
  await page.getByText('who was told that the line is in').waitFor();
  assert.ok(await seeks(id), 'not without who was told');
  await page.getByLabel('Who was told that it is in').fill('the daughter');
  await page.getByLabel('Who looks after it from now on').fill('home nurses');
  await shown('left-with-line');
  await main().click();
  await until(async () => !(await seeks(id)), 'it has ended');
  await go('learn');
  await until(async () => (await band.count()) === 0, 'the band is gone');
});

test('a line of which nobody plans a use is idle from that moment, and in case wants a name', async () => {
  const { states } = await lines();
  const { id } = states.filter((one) => one.stage === 'dwelling' && one.running === undefined)[0];
  await go(`watch/${id}/chart/need_reviewed`);
  await press('In case');
  assert.ok(await main().isDisabled(), 'the next use is not supposed');
  await press('No use is planned');
  await main().click();
  await page.getByText('who wants a line in case').waitFor();
  await page.getByLabel('Who wants it in case').fill('Dr T. Weller');
  await shown('need');
  await main().click();
  await until(async () => (await tasksOf(id)).some((item) => item.task === 'removal' && JSON.stringify(item.why).includes('in_case_is_over')), 'it is to come out');
  await go('learn'); // the same address again would be no way
  await go(`watch/${id}/chart/need_reviewed`);
  await press('No reason now');
  await press('No use is planned');
  await press('Removal');
  await page.getByLabel('Who was asked').fill('Dr T. Weller');
  await main().click();
  await until(async () => (await tasksOf(id)).some((item) => item.task === 'need_review' && JSON.stringify(item.why).includes('no_use_is_planned')), 'the line is idle');
});

test('all of it in Spanish', async () => {
  await page.evaluate(() => localStorage.setItem('dwell.language.device', '"es"'));
  await page.reload();
  const { id } = await dwelling(1);
  await go(`watch/${id}/chart/departed`);
  await page.getByRole('button', { name: 'Cama encontrada vacía' }).waitFor();
  await shown('departed-es');
  await go(`watch/${id}/chart/need_reviewed`);
  await press('Por si acaso');
  await shown('need-es');
  assert.deepEqual(faults, []);
});
