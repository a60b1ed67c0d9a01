// A ward with many lines: only the rows in sight are in the page, and none is out of reach.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fill, launch, open, serve } from './ward.mjs';

const lines = 120;
let ward, browser;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  const context = await browser.newContext();
  await fill(ward.address, context.request, lines);
  await context.close();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

for (const [size, width, height] of [['phone', 390, 844], ['desktop', 1440, 1000]])
  test(`${size}: every line of a long list is reached by scrolling, by the End key and with the Tab key`, async () => {
    const { page, context, faults } = await open(browser, ward.address, { width, height });
    page.setDefaultTimeout(30_000);
    await page.getByText(`${lines} open lines`).waitFor({ state: 'attached', timeout: 40_000 });
    const rows = page.getByRole('region', { name: 'Lines of the ward on one time axis' }).getByRole('listitem').filter({ has: page.getByRole('link') });
    const places = () => rows.evaluateAll((all) => all.map((one) => Number(one.getAttribute('aria-posinset'))));
    await rows.first().waitFor();
    // What has nothing due on the axis is folded to one row that counts it; opened, none is missing.
    const shown = Number(await rows.first().getAttribute('aria-setsize'));
    await page.keyboard.press('End');
    const folded = page.getByRole('button', { name: /^\d+ more lines, with nothing due here$/ });
    assert.equal(shown + Number.parseInt(await folded.innerText(), 10), lines);
    await folded.click();
    await page.keyboard.press('Home');
    await page.waitForTimeout(900);
    assert.equal(await rows.first().getAttribute('aria-setsize'), String(lines));

    const met = new Set();
    for (let turn = 0; turn < 400 && !met.has(lines); turn++) {
      await page.mouse.move(width / 2, height / 2);
      await page.mouse.wheel(0, height / 3);
      await page.waitForTimeout(80);
      const here = await places();
      assert.ok(here.length < 40, `${here.length} rows in the page`);
      assert.deepEqual(here, here.toSorted((a, b) => a - b));
      here.forEach((place) => met.add(place));
    }
    assert.equal(met.size, lines);
    // No two rows share a place on the page, and no gap stands between them. A row that leaves meanwhile has no place.
    const edges = await rows.evaluateAll((all) => all.filter((one) => one.isConnected).map((one) => one.getBoundingClientRect()).map(({ top, bottom }) => [Math.round(top), Math.round(bottom)]));
    edges.slice(1).forEach(([top], at) => assert.ok(Math.abs(top - edges[at][1]) <= 1, `row ${at + 1} begins at ${top}, the one above ends at ${edges[at][1]}`));

    await page.keyboard.press('Home');
    await page.waitForTimeout(600);
    assert.equal((await places())[0], 1);
    await page.keyboard.press('End');
    await page.waitForTimeout(900);
    assert.equal((await places()).at(-1), lines);

    await page.keyboard.press('Home');
    await page.waitForTimeout(600);
    await rows.first().getByRole('link').focus();
    for (let place = 2; place <= 30; place++) {
      await page.keyboard.press('Tab');
      await page.waitForTimeout(60);
      const at = await page.evaluate(() => document.activeElement?.closest('[role=listitem]')?.getAttribute('aria-posinset'));
      assert.equal(at, String(place));
    }
    assert.deepEqual(faults, []);
    await context.close();
  });
