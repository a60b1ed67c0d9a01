// The sums that are asked for now and then, and the scale of difficult veins: typed as the hints say, they answer with
// a working; a fault stands at its field; each number's formula and source are one tap away.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { launch, open, pictures, serve, violations } from './ward.mjs';

let ward, browser, page, faults;
before(async () => {
  ward = await serve(60);
  browser = await launch();
  ({ page, faults } = await open(browser, ward.address, { width: 1280, height: 1000 }));
  await page.getByText('Next visit').waitFor();
  await page.goto(`${ward.address}/#/infuse`);
  await page.getByRole('heading', { name: 'More sums' }).waitFor();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

/** Types every field's own example and works the sum out. */
async function workOut(title, own = {}) {
  const sum = page.locator('details.sum').filter({ has: page.locator('summary', { hasText: title }) });
  await sum.locator('> summary').click();
  for (const box of await sum.locator('.field').all()) {
    const label = (await box.locator('label').innerText()).trim();
    const example = own[label] ?? (await box.locator('p').first().innerText()).replace(/^such as /, '');
    if (example !== '') await box.locator('input').fill(example); // what stands in it already is the example's own
  }
  for (const [label, value] of Object.entries(own)) {
    const select = sum.getByLabel(label, { exact: true });
    if ((await select.count()) > 0 && (await select.evaluate((element) => element.tagName)) === 'SELECT') await select.selectOption({ label: value });
  }
  await sum.getByRole('button', { name: 'Work it out' }).click();
  return sum;
}

for (const [title, said, own] of [
  ['Push a dose by hand', /10 min|5 min|30 s/],
  ['A second bag through the line', /6 h 30 min/],
  ['A unit of blood', /First 50 mL\/h/],
  ['Thin and slow a medicine', /least time: 2 h 5 min/i, { Medicine: 'vancomycin 5 mg/mL', 'Over, if ordered': '3 h' }],
  ['Water missing, by percent', /1\u202f100 mL/],
  ['Is this older adult dry?', /309 mOsm\/L/, { 'Measured osmolality, if known': '' }],
  ['Sodium over two days', /After 2 d/],
  ['Kidney function', /32.5 mL\/min/, { Creatinine: '1.2 mg/dL' }],
  ['Body size', /1.63 m²/],
  ['After flashback', /room to spare/],
])
  test(`${title}: the examples of the form work`, async () => {
    const sum = await workOut(title, own);
    await sum.locator('.answer').waitFor();
    assert.match(await sum.innerText(), said);
    const working = sum.locator('.answer ~ details').first();
    await working.locator('summary').click();
    assert.match(await working.innerText(), /Formula[\s\S]*Source/i);
  });

test('a fault stands at its field and the typed text stays', async () => {
  const sum = page.locator('details.sum').filter({ hasText: 'Body size' });
  await sum.getByLabel('Weight').fill('700 kg');
  await sum.getByRole('button', { name: 'Work it out' }).click();
  await sum.getByText(/expected a body weight from|from 0.3 kg to 400 kg/).first().waitFor();
  assert.equal(await sum.getByLabel('Weight').inputValue(), '700 kg');
});

test('the open sums are accessible', async () => {
  assert.deepEqual(await violations(page), []);
  for (const title of ['Sodium over two days', 'Thin and slow a medicine']) {
    const sum = page.locator('details.sum').filter({ has: page.locator('summary', { hasText: title }) });
    await sum.screenshot({ path: join(pictures, `sum-${title.split(' ')[0].toLowerCase()}.png`) });
  }
});

test('the scale of difficult veins says when to call for help first', async () => {
  await page.goto(`${ward.address}/#/plan`);
  await page.getByRole('link', { name: /LINDQUIST/ }).first().click();
  await page.getByRole('heading', { name: 'Will this vein be hard to enter?' }).click(); // it is folded until asked for
  for (const question of ['Was it difficult before?', 'Do you expect it to be difficult?']) await page.getByLabel(question).selectOption({ label: 'Yes' });
  await page.getByText('2 to 5 points', { exact: true }).waitFor();
  await page.getByText('could make this a hard vein').waitFor();
  for (const question of ['Can a filled vein be felt?', 'Can a filled vein be seen?']) await page.getByLabel(question).selectOption({ label: 'No' });
  await page.getByLabel('Is the vein at least 3 mm wide?').selectOption({ label: 'Less than 3 mm' });
  await page.getByText('5 points', { exact: true }).waitFor();
  await page.getByText('before the first attempt').waitFor();
  assert.deepEqual(await violations(page), []);
  await page.locator('section[aria-labelledby="difficulty"]').screenshot({ path: join(pictures, 'difficulty.png') });
  assert.deepEqual(faults, []);
});
