// The acts at a line keep their budgets: words, length, the place of the main act, targets; nothing moves when something is
// ticked; and what a nurse reads at night from the check to the removal is counted.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { broken, measure, rows } from './budgets_steps.mjs';
import { launch, open, serve, v7, violations } from './ward.mjs';

let ward, browser;
before(async () => {
  ward = await serve(20);
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

const stands = (on) => on.locator('.ward svg.ribbon').first().waitFor();
async function opened(size, address = ward.address) {
  const made = await open(browser, address, size);
  made.page.setDefaultTimeout(40_000);
  await stands(made.page);
  const bed = async (family) => (await (await made.context.request.get(`${address}/api/ward`)).json()).states.find((one) => one.patient.family === family).id;
  /** A line whose catheter came out short. */
  const short = async (family) => {
    const line = await bed(family);
    const at = new Date().toISOString();
    const body = { kind: 'removed', reason: 'therapy_complete', ground: 'done', length_found: '20 mm', tip_whole: false, bleeding_stopped: true, signs: { assessed: false, present: [] }, grades: [], remover: '', tolerance: '', teaching: '' };
    await made.context.request.post(`${address}/api/events?together`, { data: [{ id: v7(), line, occurred_at: at, recorded_at: at, author: 'S. Iqbal, nurse', device: 'other', schema: 2, body }] });
    return line;
  };
  return { ...made, bed, short, go: (hash) => made.page.goto(`${address}/#/${hash}`) };
}

/** What is tapped on the way, in each language. */
const tapped = {
  en: { sound: 'no sign, pain 0, dressing sound', redness: 'Redness', grade2: 'Chart grade 2', charted: /^Charted/, called: 'Called: whom?', stop: /^Stop the infusion/, done: /^done \d\d:\d\d/, takeOut: 'Take the line out', change: 'Change', removal: 'Chart the removal', asAt: /^As at /, next: 'Done, next' },
  es: { sound: 'sin signos, dolor 0, apósito bien', redness: 'Enroje\u00adcimiento', grade2: 'Anotar grado 2', charted: /^Anotado/, called: 'Avisado: ¿a quién?', stop: /^Parar la infusión/, done: /^hecho \d\d:\d\d/, takeOut: 'Retirar la vía', change: 'Cambiar', removal: 'Registrar la retirada', asAt: /^Como /, next: 'Hecho, siguiente' },
};

// Each on a ward of its own, before anybody leaves an emergency open, whose band would be read on every page.
for (const language of ['en', 'es'])
  test(`what is read at night from the check to the removal, at 4 words a second, ${language}`, async () => {
    const own = await serve(20);
    const at = await opened({ width: 390, height: 844, language }, own.address);
    const { page } = at;
    const says = tapped[language];
    const passed = [];
    let stood = new Set();
    /** Of a screen only what did not stand on the one before is read; what is written on a key that is not touched is not. */
    const read = async (name) => {
      await page.locator('.sent:not(.not)').waitFor(); // what was charted is on the server, and said shortly
      const { said, words } = await page.evaluate(measure);
      const anew = said.filter((one) => !stood.has(one)).flatMap((one) => one.replaceAll('\u00ad', '').match(/\p{L}[\p{L}\p{N}]*/gu) ?? []).length;
      stood = new Set([...stood, ...said]);
      passed.push({ name, words, anew });
    };
    await at.go(`watch/${await at.bed('FERREIRA')}/check`);
    await page.getByText(says.sound).waitFor();
    await read('check');
    await page.getByText(says.redness, { exact: true }).click();
    await page.getByRole('slider').press('4');
    await page.getByRole('button', { name: says.grade2 }).click();
    await page.getByRole('heading', { name: says.charted }).waitFor();
    await page.getByRole('button', { name: says.called }).waitFor();
    await read('response');
    await page.getByRole('button', { name: says.stop }).click();
    await page.getByText(says.done).waitFor();
    await page.getByRole('button', { name: says.takeOut, exact: true }).click();
    await page.locator('#step-title').waitFor();
    await page.getByRole('button', { name: says.change, exact: true }).waitFor(); // the reason that was charted stands there
    for (let step = 0; step < 14; step++) {
      const title = await page.locator('#step-title').textContent();
      await read(title);
      if ((await page.getByRole('button', { name: says.removal }).count()) > 0) break;
      const same = page.getByRole('button', { name: says.asAt });
      if ((await same.count()) > 0) await same.click(); // what was charted a moment ago is not ticked again
      await page.getByRole('button', { name: says.next }).click();
      await page.waitForFunction((was) => document.getElementById('step-title').textContent !== was, title);
    }
    const sum = (of) => passed.reduce((all, one) => all + one[of], 0);
    for (const one of passed) console.log(`# ${language}, ${one.name}: ${one.words} words, ${one.anew} of them new`);
    console.log(`# ${language}: read anew ${sum('anew')} words, ${Math.round(sum('anew') / 4)} s; all words of all screens passed ${sum('words')}, ${Math.round(sum('words') / 4)} s`);
    // A minute of reading. What forbids the removal, what to do when the catheter resists or comes out short and the signs to tick are in it.
    assert.ok(sum('anew') <= 240, `${sum('anew')} words`);
    assert.ok(sum('words') <= 600, `${sum('words')} words`);
    await at.context.close();
    await own.stop();
  });

// The layout is the same by day and by night; what differs there is colour, which axe measures too.
const looks = [{ language: 'en', dark: false }, { language: 'es', dark: true }];
for (const row of rows)
  for (const look of looks)
    test(`${row.screen}, ${row.size.width} wide, ${look.language}, ${look.dark ? 'dark' : 'light'}: keeps its budgets`, async () => {
      const at = await opened({ ...row.size, ...look });
      await row.open({ ...at, ...look });
      await at.page.locator('.bar .main').waitFor();
      await at.page.locator(row.holds).first().waitFor(); // what is asked of the engine is there
      const found = await at.page.evaluate(measure);
      console.log(`# ${row.screen}, ${row.size.width} wide, ${look.language}: ${found.words} words, ${found.screens.toFixed(2)} screens`);
      assert.deepEqual(broken(row, found), []);
      assert.deepEqual(await violations(at.page), []);
      await at.context.close();
    });

for (const size of [{ width: 1024, height: 768 }, { width: 390, height: 844 }])
  test(`${size.width} wide, with letters of twice the size: an act is a column that scrolls, and its main act stays in the bar`, async () => {
    for (const row of rows.filter((one) => one.size.width === 390)) {
      const at = await opened({ ...size, letters: 32 });
      await row.open({ ...at, language: 'en' });
      await at.page.locator('.bar .main').waitFor();
      await at.page.locator(row.holds).first().waitFor();
      const is = await at.page.evaluate(() => {
        const main = document.querySelector('.bar .main');
        const { left, right, bottom, top } = main.getBoundingClientRect();
        const inside = left >= 0 && right <= innerWidth && top >= 0 && bottom <= innerHeight;
        const cut = main.scrollWidth > main.clientWidth + 1 || main.scrollHeight > main.clientHeight + 1;
        const seen = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
        const title = document.querySelector('.act-page .title, .act-page h1');
        const broken = title !== null && title.checkVisibility() && title.getBoundingClientRect().width > 2 && title.getBoundingClientRect().width < 60; // a letter a line
        return { inside, broken, cut, covered: seen === null || !main.contains(seen), wider: document.documentElement.scrollWidth - document.documentElement.clientWidth };
      });
      assert.deepEqual(is, { inside: true, broken: false, cut: false, covered: false, wider: 0 }, row.screen);
      await at.context.close();
    }
  });

test('nothing moves when a sign is ticked, pain is told or the look is charted', async () => {
  const at = await opened({ width: 390, height: 844 });
  const { page } = at;
  await at.go(`watch/${await at.bed('GRANQVIST')}/check`);
  await page.getByText('no sign, pain 0, dressing sound').waitFor();
  await page.evaluate(() => {
    globalThis.shifted = 0;
    new PerformanceObserver((list) => list.getEntries().forEach((one) => (globalThis.shifted += one.value))).observe({ type: 'layout-shift', buffered: false });
  });
  const boxes = () => page.evaluate(() => [...document.querySelectorAll('.act-page :is(.sign, .answer, [role=slider], .score, .bar .main, .scales li)')].map((node) => { const { x, y, width, height } = node.getBoundingClientRect(); return [x, y, width, height].map(Math.round).join(' '); }));
  const were = await boxes();
  await page.getByText('Redness', { exact: true }).click();
  await page.getByRole('slider').press('4');
  await page.getByRole('button', { name: 'Still needed' }).click();
  await page.getByRole('button', { name: 'Chart grade 2' }).waitFor();
  assert.deepEqual(await boxes(), were);
  const still = async () => assert.ok((await page.evaluate(() => globalThis.shifted)) < 0.001);
  await still();
  const head = () => page.evaluate(() => ['.act-page .head', '.act-page .id', '.act-page .bar', '.bar .main'].map((one) => { const { x, y, width, height } = document.querySelector(one).getBoundingClientRect(); return [x, y, width, height].map(Math.round).join(' '); }));
  const before = await head();
  await page.getByRole('button', { name: 'Chart grade 2' }).click();
  await page.getByRole('heading', { name: /^Charted/ }).waitFor();
  assert.deepEqual(await head(), before, 'head, identity and bar stand where they stood');
  // One tap from charted to the first act; nothing moves then either.
  const rowsOf = () => page.evaluate(() => [...document.querySelectorAll('.act-page ol > li')].map((node) => Math.round(node.getBoundingClientRect().y)).join(' '));
  const stood = await rowsOf();
  await page.evaluate(() => (globalThis.shifted = 0));
  await page.getByRole('button', { name: /^Stop the infusion/ }).click();
  await page.getByText(/^done \d\d:\d\d/).waitFor();
  assert.equal(await rowsOf(), stood);
  await still();
  await at.context.close();
});
