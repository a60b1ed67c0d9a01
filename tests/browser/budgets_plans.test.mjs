// The budgets of Plan, Handover, Policy and Learn, measured; and how many taps a figure of the policy takes.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { rows } from './budgets_plans.mjs';
import { cell, measure } from './measured.mjs';
import { fill, launch, open, serve, until, violations } from './ward.mjs';

const sizes = { desktop: [1440, 900], tablet: [1024, 768], phone: [390, 844] };
let ward, browser;
before(async () => {
  ward = await serve(60);
  browser = await launch();
  const { context } = await open(browser, ward.address, { who: null });
  await fill(ward.address, context.request, 17);
  await context.close();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

// The layout is the same by day and by night; what differs there is colour, which axe measures too.
const looks = [{ language: 'en', dark: false }, { language: 'es', dark: true }];
for (const { screen, open: opens, budgets } of rows)
  for (const [size, [width, height], look] of Object.entries(sizes).flatMap((one) => looks.map((look) => [...one, look])))
    test(`${screen}, ${size}, ${look.language}, ${look.dark ? 'dark' : 'light'}: the first screen keeps its budget`, async () => {
      const { page, context, faults } = await open(browser, ward.address, { width, height, keepsPage: false, ...look });
      page.setDefaultTimeout(20_000);
      await opens(page, ward.address);
      let last = '';
      let is;
      await until(async () => {
        is = await page.evaluate(measure, cell);
        const now = JSON.stringify(is);
        const same = now === last;
        last = now;
        return same;
      }, 'it stands still');
      console.log(`# ${screen}, ${size}, ${look.language}: content ${is.content.toFixed(3)}, length ${is.length.toFixed(2)}`);
      const { content = 0, length } = budgets[size];
      assert.ok(is.content >= content, `content ${is.content}, budget ${content}`);
      assert.ok(is.length <= length, `length ${is.length}, budget ${length}`);
      assert.ok(is.wider <= 0, `${is.wider} px too wide`);
      assert.deepEqual(await violations(page), []);
      assert.deepEqual(faults, []);
      await context.close();
    });

test('seventeen lines stand in one handover on a desktop, each row 42 high or more', async () => {
  const { page, context } = await open(browser, ward.address, { width: 1440, height: 900, keepsPage: false });
  await page.goto(`${ward.address}/#/handover`);
  const lines = page.locator('.handover .rows > li');
  await lines.nth(15).waitFor();
  const foot = (await page.locator('.bar').boundingBox()).y;
  for (const box of await lines.evaluateAll((all) => all.map((one) => one.getBoundingClientRect()).map(({ bottom, height }) => ({ bottom, height })))) {
    assert.ok(box.bottom <= foot, 'above the bar');
    assert.ok(box.height >= 42, `${box.height} px`);
  }
  await context.close();
});

test('seventeen lines are handed over on one sheet that lies across, more on as many as they need, each with its heading', async () => {
  const { context } = await open(browser, ward.address, { who: null });
  const box = await mkdtemp(join(tmpdir(), 'dwell-sheet-'));
  const sheet = async (language, address = ward.address) => {
    const file = join(box, `${language}.pdf`);
    await writeFile(file, await (await context.request.get(`${address}/api/handover.pdf?language=${language}`)).body());
    const [info, text] = [['pdfinfo', file], ['pdftotext', '-layout', file, '-']].map(([program, ...args]) => execFileSync(program, args, { encoding: 'utf8' }));
    return { pages: Number(/Pages: +(\d+)/.exec(info)[1]), across: /Page size: +84[12][.\d]* x 595/.test(info), text };
  };
  const { states } = await (await context.request.get(`${ward.address}/api/ward`)).json();
  assert.equal(states.length, 17);
  for (const language of ['en', 'es']) {
    const { pages, across, text } = await sheet(language);
    assert.deepEqual({ pages, across }, { pages: 1, across: true }, language);
    for (const { patient } of states) assert.ok(text.includes(patient.family), `${language}: ${patient.family}`);
    // Of what is dangerous nothing gives way.
    for (const words of language === 'en' ? ['VESICANT running', 'OVERDUE', 'latex', 'penicillin'] : ['VESICANTE', 'ATRASADO', 'latex', 'penicillin']) assert.ok(text.includes(words), `${language}: ${words}`);
  }
  const more = await serve(5);
  await fill(more.address, context.request, 40);
  const { pages, text } = await sheet('en', more.address);
  assert.ok(pages > 1 && pages <= 3, `${pages} pages`);
  assert.equal(text.split('\f').filter((page) => /handover/.test(page)).length, pages, 'each page has its heading');
  await more.stop();
  await rm(box, { recursive: true });
  await context.close();
});

test('one figure of the policy is changed in three taps and the typing', async () => {
  const { page, context } = await open(browser, ward.address, { width: 1440, height: 900, keepsPage: false });
  page.setDefaultTimeout(20_000);
  await page.goto(`${ward.address}/#/policy`);
  let taps = 0;
  const tap = async (what) => {
    await what.click();
    taps++;
  };
  await tap(page.getByRole('button', { name: /^Edit: tourniquet longest$/i }));
  await page.getByLabel(/^tourniquet longest: Figure$/i).waitFor();
  await page.keyboard.type('55 s'); // what stands there is chosen, and is typed over
  await page.keyboard.press('Tab');
  await page.keyboard.type('our ward, agreed in December');
  await tap(page.getByRole('button', { name: 'Keep 55 s, not yet in force' }));
  await until(() => page.evaluate(() => document.activeElement?.id === 'policy-reason'), 'it asks why');
  await page.keyboard.type('a shorter one is easier to bear');
  await tap(page.getByRole('button', { name: 'Put into force' }));
  await page.getByText('In force now.').waitFor();
  assert.equal(taps, 3);
  await context.close();
});
