// Beside the six: practice and the skills record, the policy's changes, what-if, settings, another language, words from
// right to left.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launch, open, pictures, quiet, serve, until, v7, violations } from './ward.mjs';

let ward, browser, page, context, faults;
before(async () => {
  ward = await serve(40);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address));
  page.setDefaultTimeout(30_000);
  await page.getByText('Next visit').waitFor();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const go = (hash, on = page) => on.goto(`${ward.address}/#/${hash}`);
const see = (text, on = page) => on.getByText(text).filter({ visible: true }).first().waitFor();
const picture = (name, on = page) => on.screenshot({ path: join(pictures, `${name}.png`) });
const api = async (path) => (await context.request.get(`${ward.address}/api/${path}`)).json();

test('practice: ticked in order but for one, scored, kept in the skills record and among no lines', async () => {
  const before = (await api('ward')).states.length;
  await go('practice');
  await see('Practice: nothing of this is a line');
  await page.getByLabel('Who practises').fill('A. Learner');
  await page.getByRole('button', { name: 'Taking a line out' }).click();
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await see('You are told');
  const ticks = page.locator('button.tick');
  const count = await ticks.count();
  assert.ok(count > 8, `${count} steps`);
  const names = await ticks.evaluateAll((all) => all.map((one) => one.textContent.trim()));
  // The second step last: one step out of order.
  for (const name of [names[0], ...names.slice(2), names[1]]) await ticks.filter({ hasText: new RegExp(`^\\s*${name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}\\s*$`) }).click();
  await page.reload(); // a call bell
  await see(`${count} of ${count} ticked`);
  await picture('practice');
  assert.deepEqual(await violations(page), []);
  await page.getByRole('button', { name: 'End and score' }).click();
  await see('Not yet');
  await see(`${count - 1} of ${count} steps done in their order`);
  await see('Practise again');
  await picture('practice-score');
  await see(/watched by M\. Koller, nurse/);
  assert.equal((await api('practice?learner=A.%20Learner')).runs.length, 1);
  assert.equal((await api('ward')).states.length, before);
});

test('practice: nobody watches themself', async () => {
  await go('practice');
  await page.getByLabel('Who practises').fill('M. Koller, nurse');
  assert.ok(await page.getByRole('button', { name: 'Begin', exact: true }).isDisabled());
});

test('what if the bag hung higher, the time were longer, the vein wider: worked out at once, and the order stays', async () => {
  const { states } = await api('ward');
  const planned = states.find((one) => one.patient.family === 'LINDQUIST').id;
  await go(`plan/${planned}`);
  await page.getByText('Pick by name').click();
  await page.getByRole('button', { name: /^Left forearm, middle third/i }).first().click();
  await page.locator('#vein-width').fill('2.8 mm');
  await page.locator('#vein-depth').fill('2.5 mm');
  await page.getByRole('button', { name: 'Add this vein' }).click();
  await page.getByRole('button', { name: 'Find catheter and vein' }).click();
  await see('What if?');
  await see('As ordered');
  const slide = (label, value) => page.getByRole('slider', { name: label }).evaluate((slider, to) => { slider.value = to; slider.dispatchEvent(new Event('input', { bubbles: true })); }, value);
  await slide(/^Over/, '16');
  await see(/62\.5 mL\/h|63 mL\/h/);
  await slide(/^Vein:/, '1');
  await see(/^No /);
  await page.getByRole('heading', { name: 'What if?' }).evaluate((title) => title.scrollIntoView());
  await picture('what-if');
  assert.deepEqual(await violations(page), []);
  await page.getByRole('button', { name: 'Back to the order' }).click();
  await see('As ordered');
});

const part = (name) => page.getByRole('group', { name: 'The ward’s policy' }).getByRole('button', { name }).click();
const figure = () => page.getByLabel(/adult infusing: Figure$/i);
async function edit(name) {
  await page.getByRole('button', { name }).click();
}

test('the policy: a figure is typed anew with its source, looked at, put into force, and what is due follows', async () => {
  await go('policy');
  await part('What this ward changed');
  await see('This is the policy that comes with Dwell, unchanged.');
  await part(/^watch: site check/i);
  await edit(/^Edit: .*adult infusing$/i);
  await figure().fill('a while');
  await page.getByRole('button', { name: 'Keep a while, not yet in force' }).click();
  await see(/“a while”/);
  assert.equal(await figure().inputValue(), 'a while', 'what was typed stays');
  await figure().fill('1 h 37 min');
  await page.getByLabel(/adult infusing: Source$/i).fill('our ward, agreed in November');
  // What it would do to the ward is said before it counts.
  await see(/times? would move, of \d+ open lines/);
  await page.getByRole('button', { name: 'Keep 1 h 37 min, not yet in force' }).click();
  await see('not yet in force');
  await see('1 figure changed');
  assert.ok(await page.getByRole('button', { name: 'Put into force' }).isDisabled(), 'it asks why first');
  await page.locator('#policy-reason').fill('a month of late finds');
  await picture('policy-change');
  assert.deepEqual(await violations(page), []);
  await page.getByRole('button', { name: 'Put into force' }).click();
  await see('In force now.');
  await part('What this ward changed');
  await see('1 difference from the policy that comes with Dwell');
  await see(/a month of late finds/);
  await page.getByRole('heading', { name: 'What this ward changed' }).evaluate((title) => title.scrollIntoView());
  await picture('policy-difference');
  const { due } = await api('ward');
  assert.ok(due.some((line) => line.items.some((item) => JSON.stringify(item.why).includes('[["1","h"],["37","min"]]'))));
});

test('two change the policy at the same time: the second looks again, on the first one’s, and loses nothing', async () => {
  await go('policy');
  await part(/^watch: site check/i);
  await edit(/^Edit: .*adult infusing$/i);
  await figure().fill('1 h 41 min');
  await page.getByLabel(/adult infusing: Source$/i).fill('our ward, agreed in December');
  const { policy, paper } = await api('policy');
  const other = { id: v7(), policy, who: 'B. Cole, nurse', reason: 'a word put right', after: paper };
  assert.equal((await context.request.post(`${ward.address}/api/policy`, { data: other })).status(), 200);
  await page.getByRole('button', { name: 'Keep 1 h 41 min, not yet in force' }).click();
  await page.locator('#policy-reason').fill('two months of late finds');
  await page.getByRole('button', { name: 'Put into force' }).click();
  await see('Somebody else changed the policy meanwhile');
  await see('1 figure changed');
  await see('1 h 41 min');
  await page.getByRole('button', { name: 'Put into force' }).click();
  await see('In force now.');
  const lastTwo = async () => (await api('policy')).changes.map((one) => one.reason).slice(-2).join('; ');
  await until(async () => (await lastTwo()) === 'a word put right; two months of late finds', 'the second is in force after the first');
  await part('What this ward changed');
  await see(/a word put right/);
});

test('the policy as a file: saved, changed elsewhere, read, looked at and put into force; what is no policy, or could hurt, is refused', async () => {
  await go('policy');
  await part('As a file');
  const force = () => page.getByRole('region', { name: 'As a file' }).getByRole('button', { name: 'Put into force' });
  const saved = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save the policy in force' }).click();
  const file = await saved;
  const inForce = (await api('policy')).policy;
  assert.equal(file.suggestedFilename(), `policy ${inForce.version}.json`);
  const written = await readFile(await file.path(), 'utf8');
  const readIn = async (name, words) => page.getByLabel('Read a policy from a file').setInputFiles({ name, mimeType: 'application/json', buffer: Buffer.from(words) });
  // What was saved is the policy in force: nothing can be put into force by reading it back.
  await readIn('as saved.json', written);
  await see('as saved.json says the same as the policy in force.');
  assert.equal(await force().count(), 0);
  await readIn('a letter.json', 'Dear ward,');
  await see(/a policy, as it is saved here/);
  const changed = JSON.parse(written);
  const pressed = structuredClone(changed);
  pressed.remove.pressure = { value: '5 s', source: 'somebody was in a hurry', mark: 'practice' };
  await readIn('hurried.json', JSON.stringify(pressed));
  await see(/at least 30 s; no policy may press for less/);
  assert.equal(await force().count(), 0);
  const papers = (await api('policy')).changes.length;
  changed.watch.soon = { value: '23 min', source: 'our ward, agreed in January', mark: 'practice' };
  await readIn('january.json', JSON.stringify(changed));
  await see('january.json: 1 difference from the policy in force');
  await see('23 min');
  assert.deepEqual(await violations(page), []);
  assert.equal((await api('policy')).changes.length, papers, 'a file that was read changes nothing');
  assert.ok(await force().isDisabled(), 'it asks why first');
  await page.locator('#file-reason').fill('as the other ward has it');
  await force().click();
  await until(async () => (await api('policy')).changes.at(-1)?.reason === 'as the other ward has it', 'it is in force');
  assert.equal((await api('policy')).policy.watch.soon.value.text, '23 min');
});

test('a policy that could hurt is refused, and says where', async () => {
  await go('policy');
  await part(/^remove/i);
  await edit(/^Edit: pressure$/i);
  await page.getByLabel(/^pressure: Figure$/i).fill('5 s');
  await page.getByRole('button', { name: /^Keep 5 s/ }).click();
  await see(/at least 30 s; no policy may press for less/);
  assert.ok(await page.getByRole('button', { name: 'Put into force' }).isDisabled(), 'nothing of it can be put into force');
  await page.getByRole('button', { name: 'Leave it as it was' }).first().click();
});

test('the policy: a figure is found by a word of its source, and those to confirm stand alone', async () => {
  await go('policy');
  await page.getByLabel('Find a figure, a word of its source').fill('tourniquet');
  await page.getByRole('button', { name: /^Edit: tourniquet nearest$/i }).waitFor();
  await page.getByLabel('Find a figure, a word of its source').fill('no such word');
  await see('No figure fits.');
  await page.getByLabel('Find a figure, a word of its source').fill('');
  await page.getByRole('button', { name: /to confirm$/ }).click();
  const rows = page.getByRole('listitem').filter({ has: page.getByRole('button', { name: /^Edit: / }) });
  for (const words of await rows.allInnerTexts()) assert.match(words, /confirm locally/);
});

test('practice by oneself: a plan, a grade and a drip, judged by the ward’s own policy', async () => {
  const before = (await api('ward')).states.length;
  await go('practice');
  await page.getByRole('button', { name: 'Plan a line' }).click();
  await see(/58-year-old with pneumonia/);
  await page.getByRole('radio', { name: '22 gauge 25 mm, Left forearm, upper third' }).check();
  await page.getByRole('button', { name: 'Show what policy says' }).click();
  await see(/As you said\. First choice: 22 gauge 25 mm in the left forearm, upper third/);
  assert.deepEqual(await violations(page), []);
  await page.getByRole('button', { name: 'Case 3' }).click();
  await page.getByRole('radio', { name: /^22 gauge/ }).first().check();
  await page.getByRole('button', { name: 'Show what policy says' }).click();
  await see(/Not as you said\. No first choice/);
  await page.getByRole('button', { name: 'Grade a site' }).click();
  for (const scale of await page.locator('.sheet [role=group]').all()) await scale.getByRole('button').first().click();
  await page.getByRole('button', { name: 'Show what policy says' }).click();
  await see('Not as you said. grade 2');
  await page.getByRole('button', { name: 'Set a drip' }).click();
  const area = page.getByRole('button', { name: /Tap at each drop/ });
  await area.focus();
  const began = Date.now();
  for (let drop = 0; drop < 14; drop++) {
    await page.waitForTimeout(Math.max(0, began + drop * 1000 - Date.now())); // 60 drops a minute; 42 are ordered
    await page.keyboard.press('Space');
  }
  await see(/Close the roller clamp/);
  assert.equal((await api('ward')).states.length, before, 'nothing of it is a line');
});

test('settings: colours, reading aloud, and the language of the page', async () => {
  await go('settings');
  assert.deepEqual(await violations(page), []);
  await picture('settings');
  await page.getByRole('button', { name: 'Español' }).click();
  await see('Ajustes');
  assert.equal(await page.evaluate(() => document.documentElement.lang), 'es');
});

test('in Spanish every screen speaks Spanish, the engine too, and fits a phone', async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  const { states } = await api('ward');
  const dwelling = states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity').id;
  const planned = states.find((one) => one.patient.family === 'LINDQUIST').id;
  const screens = { watch: 'watch', line: `watch/${dwelling}/check`, plan: `plan/${planned}`, place: `place/${planned}`, infuse: `infuse/${dwelling}`, remove: `remove/${dwelling}`, learn: 'learn', handover: 'handover', begin: 'begin', policy: 'policy', practice: 'practice', settings: 'settings' };
  // Words that stand in no Spanish sentence of ours; people's own words and sources stay as they are.
  const english = /\b(Check the site|Change the|Right patient|Clean hands|overdue|due now|every \d+ (h|min)|in place|Next visit|The open line|at most|at least|right arm|left arm|crystalloid|Save|Done|Back|Loading)\b/;
  const left = [];
  for (const [name, hash] of Object.entries(screens)) {
    await go(hash);
    await page.locator('main h1, main h2').first().waitFor();
    await quiet(page);
    const words = await page.locator('main').evaluate((main) => {
      const copy = main.cloneNode(true);
      copy.querySelectorAll('.source, .from, .mark, [class*=source], select, input').forEach((node) => node.remove());
      return copy.textContent;
    });
    const found = words.match(english);
    if (found) left.push(`${name}: …${words.slice(Math.max(0, found.index - 40), found.index + 60)}…`);
    const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wider <= 0, `${name} in Spanish is ${wider} px too wide`);
    assert.deepEqual(await violations(page), [], `${name} in Spanish`);
    if (['watch', 'line', 'place'].includes(name)) await picture(`${name}-phone-spanish`);
  }
  assert.deepEqual(left, []);
});

test('words from right to left: every screen still fits', async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  const { states } = await api('ward');
  const dwelling = states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity').id;
  for (const hash of ['watch', `watch/${dwelling}/check`, `infuse/${dwelling}`, 'learn', 'handover', 'practice', 'settings']) {
    await go(hash);
    await page.evaluate(() => (document.documentElement.dir = 'rtl'));
    await quiet(page);
    const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wider <= 0, `${hash} is ${wider} px too wide`);
    if (hash === 'watch') await picture('watch-phone-right-to-left');
  }
});

test('no fault was heard from the page', () => assert.deepEqual(faults, []));
