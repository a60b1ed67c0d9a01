// Rough days: no mouse, a slow and a failing network, a clock that is wrong, two at once.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { chartSound, launch, open, quiet, serve, soundName, until } from './ward.mjs';

let ward, browser;
before(async () => {
  ward = await serve(20);
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const statesOf = async (context) => (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
const dwelling = async (context, nth = 0) => (await statesOf(context)).filter((one) => one.stage === 'dwelling' && one.running).at(nth).id;
const lineOf = async (context, id) => (await (await context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;

/** Goes on with the tab key until the focus stands on what is wanted. */
async function tabTo(page, name) {
  for (let step = 0; step < 200; step++) {
    await page.keyboard.press('Tab');
    const at = await page.evaluate(() => {
      const focus = document.activeElement;
      const seen = focus.matches(':focus-visible') && focus.getBoundingClientRect().width > 0;
      return { words: `${focus.getAttribute('aria-label') ?? ''} ${focus.textContent} ${focus.labels?.[0]?.textContent ?? ''}`, seen };
    });
    if (name.test(at.words)) {
      assert.ok(at.seen, `the focus is seen on ${name}`);
      return;
    }
  }
  assert.fail(`the tab key does not lead to ${name}`);
}

test('with the keyboard alone: start charting, open the most urgent line, look at its site, chart it', async () => {
  const { page, context } = await open(browser, ward.address, { who: null });
  page.setDefaultTimeout(30_000);
  await page.getByLabel('Name and role').waitFor();
  await tabTo(page, /Name and role/);
  await page.keyboard.type('K. Board, nurse');
  await page.keyboard.press('Enter');
  await page.getByText('Next visit').waitFor();
  const id = await dwelling(context, 3);
  const { patient } = await lineOf(context, id);
  await tabTo(page, new RegExp(`${patient.family}, ${patient.given}`));
  await page.keyboard.press('Enter');
  await page.getByText('What falls due').waitFor();
  await tabTo(page, /^\s*Check the site/);
  await page.keyboard.press('Enter');
  await tabTo(page, /Chart: (all sound|sound to look and feel)/);
  await page.keyboard.press('Enter');
  await until(async () => (await lineOf(context, id)).last_check?.author === 'K. Board, nurse', 'the look is charted');
  await context.close();
});

test('what is ticked for one patient never stands in the form of another', async () => {
  const { page, context } = await open(browser, ward.address);
  page.setDefaultTimeout(30_000);
  await page.getByText('Next visit').waitFor();
  const [one, other] = [await dwelling(context, 4), await dwelling(context, 5)];
  await page.goto(`${ward.address}/#/watch/${one}/check`);
  await page.getByText('Redness', { exact: true }).click();
  assert.ok(await page.getByRole('checkbox', { name: /Redness/ }).isChecked());
  await page.goto(`${ward.address}/#/watch/${other}/check`);
  assert.ok(!(await page.getByRole('checkbox', { name: /Redness/ }).isChecked()), 'the signs of another patient');
  await chartSound(page);
  await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  await page.goto(`${ward.address}/#/watch/${one}/check`);
  // What was ticked there may come back, marked; nothing of the other patient does.
  await page.getByRole('button', { name: soundName }).or(page.getByText(/Brought back/)).first().waitFor();
  // The same with a reason picked for taking the line out.
  await page.goto(`${ward.address}/#/remove/${one}`);
  const reason = page.locator('main select').first();
  await reason.selectOption({ index: 2 });
  const picked = await reason.inputValue();
  assert.notEqual(picked, '');
  await page.goto(`${ward.address}/#/remove/${other}`);
  await quiet(page);
  assert.notEqual(await reason.inputValue(), picked, 'the reason of another patient');
  await context.close();
});

test('one request in six fails: every look is charted once', async () => {
  const { page, context } = await open(browser, ward.address, { who: 'T. Enth, nurse', keepsPage: false });
  page.setDefaultTimeout(20_000);
  let asked = 0;
  let failed = 0;
  // One of six is refused its connection, its answer lost on the way back, or the server busy.
  await context.route('**/api/**', async (route) => {
    asked++;
    if (asked % 6 !== 4) return route.continue();
    failed++;
    if (failed % 3 === 0) return route.abort();
    if (failed % 3 === 1) return route.fulfill({ status: 503, body: '' });
    await route.fetch().catch(() => undefined); // it came, and the answer did not
    return route.abort();
  });
  const charted = [];
  for (let nth = 1; nth < 6; nth++) {
    const id = await dwelling(context, nth);
    await page.goto(`${ward.address}/#/watch/${id}/check`);
    await chartSound(page);
    await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
    charted.push(id);
  }
  await page.getByText('All on the server').waitFor({ timeout: 60_000 });
  for (const id of charted) {
    const { events } = await (await context.request.get(`${ward.address}/api/lines/${id}`)).json();
    assert.equal(events.filter((one) => one.author === 'T. Enth, nurse' && one.body.kind === 'site_checked').length, 1, `once on ${id}`);
  }
  assert.ok(failed > 2, `${failed} of ${asked} failed`);
  await context.close();
});

test('a slow network: the ward stands, and a look is charted', async () => {
  const { page, context } = await open(browser, ward.address, { who: 'S. Low, nurse', keepsPage: false });
  page.setDefaultTimeout(30_000);
  const client = await context.newCDPSession(page);
  await client.send('Network.enable');
  await client.send('Network.emulateNetworkConditions', { offline: false, latency: 800, downloadThroughput: 40_000, uploadThroughput: 20_000 });
  await page.reload();
  await page.getByText('Next visit').waitFor();
  const id = await dwelling(context, 0);
  await page.goto(`${ward.address}/#/watch/${id}/check`);
  await chartSound(page);
  await until(async () => (await lineOf(context, id)).last_check?.author === 'S. Low, nurse', 'the look is charted');
  await context.close();
});

for (const [what, hours] of [['three hours fast', 3], ['a day slow', -24]])
  test(`a tablet whose clock is ${what} says so, and its entries carry the server's time`, async () => {
    const { page, context } = await open(browser, ward.address, { who: null });
    page.setDefaultTimeout(15_000);
    await page.clock.install({ time: Date.now() + hours * 3_600_000 });
    await page.reload();
    await page.getByLabel('Name and role').fill(`C. Lock ${hours}, nurse`);
    await page.getByRole('button', { name: 'Start charting' }).click();
    await page.getByText(/The server’s time is used; set the clock right/).first().waitFor();
    const id = await dwelling(context, hours > 0 ? 6 : 7);
    await page.goto(`${ward.address}/#/watch/${id}/check`);
    await chartSound(page);
    await until(async () => (await lineOf(context, id)).last_check?.author === `C. Lock ${hours}, nurse`, 'the look is charted');
    const { last_check: look } = await lineOf(context, id);
    assert.ok(Math.abs(Date.parse(look.at) - Date.now()) < 120_000, look.at);
    await context.close();
  });

test('two at once: what one charts stands on the other’s screen, and both looks stand on the line', async () => {
  const one = await open(browser, ward.address, { who: 'A. First, nurse' });
  const two = await open(browser, ward.address, { who: 'B. Second, nurse', width: 390, height: 844 });
  const id = await dwelling(one.context, 2);
  for (const { page } of [one, two]) {
    page.setDefaultTimeout(15_000);
    await page.getByText('Next visit').waitFor();
    await page.goto(`${ward.address}/#/watch/${id}/check`);
    await page.getByRole('button', { name: soundName }).waitFor();
  }
  await Promise.all([one, two].map(({ page }) => chartSound(page)));
  await until(async () => {
    const { history } = await lineOf(one.context, id);
    return ['A. First, nurse', 'B. Second, nurse'].every((name) => history.some((entry) => entry.author === name && entry.kind === 'site_checked'));
  }, 'both looks stand');
  // The other's look appears without a reload.
  for (const { page } of [one, two]) {
    await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
    await page.goto(`${ward.address}/#/watch/${id}`);
  }
  await one.page.locator('section[aria-labelledby=charted]').getByText(/B\. Second, nurse/).first().waitFor();
  await two.page.locator('section[aria-labelledby=charted]').getByText(/A\. First, nurse/).first().waitFor();
  for (const { context } of [one, two]) await context.close();
});
