// The ward's care in a real browser: who looks after whom, what must wait and why, the smaller facts, a photograph, the
// site that gets worse, and the shift that hands over.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launch, open, pictures, serve, violations } from './ward.mjs';

let ward, browser, page, context, faults, id;

before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address));
  page.setDefaultTimeout(30_000);
  await page.getByText('Next visit').waitFor();
  const states = (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
  id = states.find((one) => one.stage === 'dwelling' && one.running && (one.last_check?.check.grades ?? []).every((grade) => grade.grade === 0)).id;
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const go = (hash) => page.goto(`${ward.address}/#/${hash}`);
const see = (text) => page.getByText(text).filter({ visible: true }).first().waitFor();
const line = async () => (await (await context.request.get(`${ward.address}/api/lines/${id}`)).json()).state;

test('a nurse takes a line, and sees her own lines alone', async () => {
  await go(`watch/${id}`);
  await see('Nobody is assigned to this line.');
  await page.getByRole('button', { name: 'I look after this line' }).click();
  await see('Looked after by M. Koller, nurse');
  assert.equal((await line()).nurse, 'M. Koller, nurse');
  await go('watch');
  await page.getByRole('button', { name: 'My lines' }).click();
  await page.getByText('1 open line, most urgent first').waitFor();
  await page.getByRole('button', { name: 'All lines' }).click();
  await page.getByText('16 open lines').waitFor();
  const rows = page.getByRole('region', { name: 'Lines of the ward on one time axis' }).getByRole('listitem');
  const order = page.getByRole('group', { name: 'The order of the lines' });
  await order.getByRole('button', { name: 'By bed' }).click();
  await page.getByText('16 open lines, by bed').waitFor();
  const beds = await rows.locator('.bed').allInnerTexts();
  assert.deepEqual(beds, beds.toSorted((a, b) => Number(a) - Number(b)));
  await order.getByRole('button', { name: 'By nurse' }).click();
  await rows.first().getByRole('heading', { name: 'Nobody’s lines' }).waitFor();
  await page.mouse.wheel(0, 5_000);
  await rows.filter({ has: page.getByRole('heading', { name: 'M. Koller, nurse' }) }).waitFor();
  await order.getByRole('button', { name: 'Most urgent first' }).click();
});

test('no task waits without a reason; one that waits stays in sight', async () => {
  const states = (await (await context.request.get(`${ward.address}/api/due?first=16`)).json()).lines;
  for (const one of states) {
    await go(`watch/${one.line}`);
    await page.getByText('What falls due').waitFor();
    if ((await page.getByText(/^Put off: /).count()) > 0) break;
  }
  await page.getByRole('heading', { name: 'Put off', exact: true }).click();
  const first = page.getByText(/^Put off: /).first();
  const task = (await first.textContent()).replace('Put off: ', '');
  await first.click();
  await page.getByRole('button', { name: /^Put off/ }).click();
  await see('why it waits');
  await page.getByLabel('Reason').fill('asleep at last');
  await page.getByRole('button', { name: /^Put off/ }).click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  await page.getByRole('link', { name: 'To the line', exact: true }).click();
  await see(/put off until .*: “asleep at last”/);
  await page.screenshot({ path: join(pictures, 'put-off.png') });
  await see(task);
});

test('each of the smaller facts has a page, and what comes next stands in its place', async () => {
  const chart = async (kind, fill) => {
    await go('watch'); // nothing of the line's page is open from before
    await page.getByText('Next visit').waitFor();
    await go(`watch/${id}`);
    await page.getByText('Chart something else').click();
    await page.getByRole('link', { name: kind }).click();
    await fill();
    await page.getByRole('button', { name: 'Chart it' }).click();
    await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  };
  await chart('Moved to another bed or unit', () => page.getByLabel('Bed').fill('21'));
  await see('Bed 21');
  await see('Trace the tubing');
  // Due, and charted from its row: what is known is not asked again.
  await page.getByRole('link', { name: 'To the line', exact: true }).click();
  await page.getByRole('link', { name: 'Chart: Trace the tubing' }).click();
  assert.ok(await page.getByRole('button', { name: 'Chart it' }).isDisabled(), 'nobody said yet whether it runs as meant');
  await page.getByRole('group', { name: 'It runs as it is meant to' }).getByRole('button', { name: 'Yes' }).click();
  await page.getByRole('button', { name: 'Chart it' }).click();
  await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  await page.getByRole('strong').filter({ hasText: 'Trace the tubing' }).waitFor({ state: 'detached' });
  await chart('The patient said no', () => page.getByLabel('What was refused').fill('a new dressing'));
  assert.equal((await line()).refusals[0].refused.what, 'a new dressing');
});

test('a photograph goes to the server, and its hash into the record', async () => {
  await go(`watch/${id}/check`);
  const picture = await page.screenshot({ clip: { x: 0, y: 0, width: 200, height: 120 } });
  await page.getByRole('button', { name: /^Sizes/ }).click();
  await page.locator('input[type=file]').setInputFiles({ name: 'site.png', mimeType: 'image/png', buffer: picture });
  await see('Photograph charted.');
  await page.getByRole('button', { name: 'Close' }).click();
  const { photos } = await line();
  assert.equal(photos.length, 1);
  const kept = await context.request.get(`${ward.address}/api/photos/${photos[0].photo.hash}`);
  assert.equal(kept.headers()['content-type'], 'image/jpeg');
  assert.equal((await kept.body()).length, photos[0].photo.bytes);
  await page.getByRole('img', { name: /^The site, / }).waitFor();
});

test('two looks say where the site is going, and how much can have leaked', async () => {
  const check = async (extent) => {
    await go('watch');
    await go(`watch/${id}/check`);
    await page.getByText('Swelling', { exact: true }).click();
    await page.getByRole('button', { name: /^Sizes/ }).click();
    await page.getByLabel('Longest diameter of the swelling').fill(extent);
    await page.getByRole('button', { name: 'Close' }).click();
    await see(/^Up to .* can have leaked/);
    await page.getByRole('button', { name: /^Chart(: no grade fits| grade \d)/ }).click();
    await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  };
  await check('10 mm');
  await page.waitForTimeout(1100);
  await check('18 mm');
  await see('Where the site is going');
  await see(/Worse:.*swelling grows 8 mm/);
  await page.screenshot({ path: join(pictures, 'trend.png') });
  assert.deepEqual(await violations(page), []);
});

test('the shift hands over: a row a line, said aloud, a sheet to carry, and a name', async () => {
  await go('handover');
  const row = page.getByRole('listitem').filter({ has: page.getByRole('button', { name: /^Bed 21:/ }) });
  await row.getByRole('button', { name: /^Bed 21:/ }).click();
  await see(/Beware:.*refused: .*“a new dressing”.*site: Worse: swelling grows/);
  assert.deepEqual(await violations(page), []);
  await page.screenshot({ path: join(pictures, 'handover-page.png') });
  const pdf = await context.request.get(`${ward.address}/${await page.getByRole('link', { name: /PDF/ }).getAttribute('href')}`);
  assert.equal((await pdf.body()).subarray(0, 5).toString(), '%PDF-');
  await page.getByLabel('To whom').fill('J. Reyes, nurse');
  // What was not said aloud is asked about, by name.
  const give = page.getByRole('button', { name: 'Hand 1 line over to J. Reyes, nurse' });
  await give.click();
  await see(/Not said aloud yet: Bed 21/);
  assert.notEqual((await line()).nurse, 'J. Reyes, nurse');
  await row.getByText(/^Said aloud: /).evaluate((words) => words.closest('label').click());
  await see('1 of my 1 said');
  await give.click();
  await see('1 line handed over to J. Reyes, nurse.');
  assert.equal((await line()).nurse, 'J. Reyes, nurse');
  assert.deepEqual(faults, []);
});

test('any problem opens its first response, and what was done is charted', async () => {
  await go(`watch/${id}`);
  await page.getByText('Something is wrong').click();
  await page.getByLabel('What is wrong').selectOption({ label: 'Hub or tubing has pressed the skin' });
  await page.getByRole('link', { name: 'Hub or tubing has pressed the skin' }).click();
  await see(/lift the hub, pad under it/);
  await page.getByRole('button', { name: /Take the pressure away/ }).click();
  await see(/^done \d\d:\d\d, M\. Koller/);
  assert.equal((await line()).responses.at(-1).response.response, 'pressure_injury');
});

test('a patient who comes with a line: begun, looked at, and out by its time', async () => {
  await go('begin');
  await page.getByLabel('Family name').fill('OYELARAN');
  await page.getByLabel('Given name').fill('Tunde');
  await page.getByLabel('Record number').fill('A-9001');
  await page.getByLabel('Bed', { exact: true }).fill('30');
  await page.getByLabel('Born').fill('1958-04-12');
  await page.getByRole('group', { name: 'Takes an anticoagulant' }).getByRole('button', { name: 'No', exact: true }).click();
  await page.getByText('The patient comes with a line that is in already').click();
  await page.getByLabel('Since when, as told or labelled').fill('2026-11-20T08:00');
  await page.locator('#begin-origin').selectOption('field');
  await page.getByLabel('Catheter', { exact: true }).selectOption({ index: 3 });
  await page.getByRole('button', { name: /^Left forearm, middle/i }).first().click();
  assert.deepEqual(await violations(page), []);
  await page.setViewportSize({ width: 1280, height: 2400 });
  await page.screenshot({ path: join(pictures, 'begin.png') });
  await page.setViewportSize({ width: 1440, height: 1000 });
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await see('Begun. Look at what you took over:');
  await see(/Asepsis is not known: taken as not assured/);
  await see('Its time is over: ask for a new line now.');
  await page.screenshot({ path: join(pictures, 'received.png') });
  await page.getByRole('link', { name: 'To the line', exact: true }).click();
  await see('Replace the emergency line');
  assert.deepEqual(faults, []);
});

test('a wrong entry is taken back with a reason, and stays readable', async () => {
  await go(`watch/${id}`);
  const wrong = page.getByRole('button', { name: /^That was wrong: responded: pressure injury/ });
  await wrong.click();
  await page.getByLabel('Why it is taken back').fill('wrong bed');
  await page.getByRole('button', { name: 'Take it back' }).click();
  await see('an entry was taken back: “wrong bed”');
  await see(/, taken back$/);
  assert.deepEqual(await violations(page), []);
  const { history, responses } = await line();
  assert.equal(history.filter((entry) => entry.corrected).length, 1);
  assert.ok(!responses.some((one) => one.response.response === 'pressure_injury'));
});

test('a removal that is interrupted goes on where it stopped', async () => {
  await go(`remove/${id}`);
  await page.locator('#reason').selectOption({ index: 1 });
  await page.locator('#ground').fill('order of Dr Weller');
  await page.getByRole('button', { name: 'Done, next' }).click();
  await page.getByRole('button', { name: 'Done, next' }).click();
  const title = await page.locator('#step-title, h2[tabindex="-1"]').first().textContent();
  await page.reload();
  await page.getByRole('heading', { name: title, level: 2 }).waitFor();
  await page.getByRole('button', { name: 'Back' }).click();
  await page.getByRole('button', { name: 'Back' }).click();
  assert.equal(await page.locator('#ground').inputValue(), 'order of Dr Weller');
});

test('a patient is found by any part of name, bed or number', async () => {
  await go('watch');
  await page.getByLabel('Find a patient').fill('oye');
  await page.getByRole('link', { name: /OYELARAN/ }).first().waitFor();
  assert.equal(await page.getByRole('link', { name: /LINDQUIST/ }).count(), 0);
  await page.getByLabel('Find a patient').fill('a-9001 tunde');
  await page.getByRole('link', { name: /OYELARAN/ }).first().waitFor();
  await page.getByLabel('Find a patient').fill('nobody of that name');
  await see('No open line fits.');
});

test('the policy shows each figure with its source, and those to confirm alone', async () => {
  await go('policy');
  await see(/Dwell default policy, version 2026-11; \d+ figures/);
  await page.getByRole('searchbox', { name: 'Find a figure, a word of its source' }).fill('RNAO');
  await see('RNAO table of antiseptic times: 30 s, longer on moist sites');
  assert.deepEqual(await violations(page), []);
  await page.screenshot({ path: join(pictures, 'policy.png') });
  await page.getByRole('button', { name: /^\d+ to confirm$/ }).click();
  assert.equal(await page.getByText('RNAO table of antiseptic times: 30 s, longer on moist sites').count(), 0);
  assert.deepEqual(faults, []);
});
