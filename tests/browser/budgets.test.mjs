// What the page promises of its first screens, measured: how much of it is what it is for, how much is controls, how long it is, how
// many taps an act takes, how big a target is, and that nothing moves. One row of the table a screen; another screen is another row.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { cell, measure } from './measured.mjs';
import { fill, launch, open, serve, until, v7 } from './ward.mjs';

const sizes = { desktop: [1440, 900], tablet: [1024, 768], phone: [390, 844] };
const languages = ['en', 'es'];

/**
 * hash: where it is, given the ward's lines. ready: what stands when it is there.
 * Of each size: content at least and control at most, as shares of the first screen; ribbons at least and top at most, in px; length in
 * screens; words of the first screen.
 */
const screens = {
  watch: {
    hash: () => 'watch',
    ready: '.ward svg.ribbon',
    desktop: { content: 0.55, control: 0.15, ribbons: 16, top: 130, length: 1 },
    tablet: { content: 0.55, control: 0.15, ribbons: 12, top: 185, length: 1.4 },
    phone: { content: 0.6, control: 0.18, ribbons: 7, top: 245, length: 1.7, words: 120 },
  },
  line: {
    hash: (states) => `watch/${states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity' && one.patient.can_report_pain === false).id}`,
    ready: 'section[aria-labelledby=charted] li',
    desktop: { content: 0.38, length: 1 },
    tablet: { length: 1.5 },
    phone: { length: 2.5 },
  },
};

/** In the page: controls in sight that a finger of 44 px does not meet wherever it touches, and what may be lower by the rules. */
function smallTargets() {
  const least = 44;
  const found = [];
  for (const control of document.querySelectorAll('a[href], button, input, select, textarea, summary')) {
    if (!control.checkVisibility({ visibilityProperty: true }) || control.closest('[aria-hidden=true]') !== null || control.matches('.skip')) continue;
    const box = control.getBoundingClientRect();
    const middle = { x: box.left + box.width / 2, y: box.top + box.height / 2 };
    if (middle.y < 0 || middle.y > innerHeight || middle.x < 0 || middle.x > innerWidth || box.width <= 2) continue;
    if (control.closest('section[aria-labelledby=charted]') !== null && innerWidth >= 1100) continue; // a row of history, 33 high on a desktop
    if (control.matches('.home')) continue; // the way to Watch stands in the sections too
    const hits = (x, y) => {
      const there = document.elementFromPoint(Math.min(innerWidth - 1, Math.max(0, x)), Math.min(innerHeight - 1, Math.max(0, y)));
      return there !== null && (control.contains(there) || there.contains(control));
    };
    if (!hits(middle.x, middle.y)) continue; // covered: not in sight
    const reach = least / 2 - 1;
    const isWide = box.width >= least || (hits(middle.x - reach, middle.y) && hits(middle.x + reach, middle.y));
    const isHigh = box.height >= least || (hits(middle.x, middle.y - reach) && hits(middle.x, middle.y + reach));
    if (!isWide || !isHigh) found.push(`${control.getAttribute('aria-label') ?? control.textContent.trim().slice(0, 40)} (${Math.round(box.width)} by ${Math.round(box.height)})`);
  }
  return found;
}

let ward, browser, states;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  const { context } = await open(browser, ward.address, { who: null });
  await fill(ward.address, context.request, 17);
  ({ states } = await (await context.request.get(`${ward.address}/api/ward`)).json());
  await context.close();
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

async function opened(size, { dark = false, language = 'en' } = {}) {
  const [width, height] = sizes[size];
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: dark ? 'dark' : 'light', locale: language, timezoneId: 'Europe/Dublin', reducedMotion: 'reduce', serviceWorkers: 'block' });
  const page = await context.newPage();
  page.setDefaultTimeout(60_000);
  await page.goto(ward.address);
  await page.getByRole('textbox').first().fill('M. Koller, nurse');
  await page.getByRole('textbox').first().press('Enter');
  await page.locator(screens.watch.ready).first().waitFor();
  return { page, context };
}
/** Two looks alike: what is drawn a few rows in a frame is all there, and no answer is on its way. */
async function settled(page, look, argument) {
  let last = '';
  let found;
  await until(async () => {
    found = await page.evaluate(look, argument);
    const now = JSON.stringify(found);
    const same = now === last;
    last = now;
    return same;
  }, 'it stands still', 60_000);
  return found;
}

const table = [];
const rounded = (value) => Math.round(value * 1000) / 1000;
const atLeast = ['content', 'ribbons'];

for (const [name, screen] of Object.entries(screens))
  for (const size of Object.keys(sizes))
    test(`${name}, ${size}: the first screen keeps its budget, light and dark, in each language`, async () => {
      const broken = [];
      for (const language of languages)
        for (const dark of [false, true]) {
          const { page, context } = await opened(size, { dark, language });
          await page.goto(`${ward.address}/#/${screen.hash(states)}`);
          await page.locator(screen.ready).first().waitFor();
          const is = await settled(page, measure, cell);
          for (const [what, limit] of Object.entries(screen[size])) {
            const value = rounded(is[what]);
            const keeps = atLeast.includes(what) ? value >= limit : value <= limit;
            table.push([name, size, language, dark ? 'dark' : 'light', what, `${atLeast.includes(what) ? '≥' : '≤'} ${limit}`, value, keeps ? '' : 'BROKEN']);
            if (!keeps) broken.push(`${language}, ${dark ? 'dark' : 'light'}: ${what} ${value}, budget ${limit}`);
          }
          const small = await page.evaluate(smallTargets);
          if (small.length > 0) broken.push(`${language}, ${dark ? 'dark' : 'light'}: smaller than 44 by 44: ${small.join('; ')}`);
          await context.close();
        }
      assert.deepEqual(broken, []);
    });

test('a sound check takes two taps from Watch by the next visit, three by a ribbon', async () => {
  const { page, context } = await opened('desktop');
  const get = async (path) => (await context.request.get(`${ward.address}/${path}`)).json();
  // Of the lines that wait for a look, one is given to this nurse: her next visit is that look.
  const { due } = await get('api/ward');
  const [own, other] = due.filter((one) => one.items[0]?.task === 'site_check' && one.items[0].state === 'overdue').map((one) => one.line);
  const { events } = await get(`api/lines/${own}`);
  const now = new Date().toISOString();
  const assigned = { id: v7(), line: own, occurred_at: now, recorded_at: now, author: 'M. Koller, nurse', device: 'test', schema: events[0].schema, body: { kind: 'assigned', nurse: 'M. Koller, nurse' } };
  assert.ok((await context.request.post(`${ward.address}/api/events?together`, { data: [assigned] })).ok());
  await page.getByRole('button', { name: 'My lines' }).click();
  const looks = async (line) => (await get(`api/lines/${line}`)).events.filter((one) => one.body.kind === 'site_checked' && one.author === 'M. Koller, nurse').length;
  let taps = 0;
  const tap = async (what) => {
    await what.click();
    taps++;
  };
  await page.locator('.visit').getByRole('link', { name: 'Check the site' }).waitFor();
  await tap(page.locator('.visit').getByRole('link', { name: 'Check the site' }));
  await tap(page.getByRole('button', { name: /All normal|all sound/ }));
  await until(async () => (await looks(own)) === 1, 'the look is in the record', 60_000);
  table.push(['watch', 'desktop', 'en', 'light', 'taps, by the next visit', '≤ 2', taps, taps <= 2 ? '' : 'BROKEN']);
  assert.ok(taps <= 2, `${taps} taps`);

  await page.goto(`${ward.address}/#/watch`);
  await page.getByRole('button', { name: 'All lines' }).click();
  taps = 0;
  await tap(page.locator(`.ward a[href="#/watch/${other}"]`));
  await tap(page.locator('.first').getByRole('link'));
  await tap(page.getByRole('button', { name: /All normal|all sound/ }));
  await until(async () => (await looks(other)) === 1, 'the look is in the record', 60_000);
  table.push(['watch', 'desktop', 'en', 'light', 'taps, by a ribbon', '≤ 3', taps, taps <= 3 ? '' : 'BROKEN']);
  assert.ok(taps <= 3, `${taps} taps`);
  await context.close();
});

test('what is nobody’s is taken in one tap, and given back in one', async () => {
  const { page, context } = await opened('desktop');
  const nobodys = async () => (await (await context.request.get(`${ward.address}/api/ward`)).json()).due.filter((one) => one.nurse === '').length;
  const before = await nobodys();
  await page.getByRole('button', { name: `All ${before} to me` }).click();
  await page.getByRole('button', { name: 'Take it back' }).waitFor({ timeout: 60_000 });
  assert.equal(await nobodys(), 0);
  await page.getByText(`${before} lines now with M. Koller, nurse.`).waitFor();
  await page.getByRole('button', { name: 'Take it back' }).click();
  await page.getByRole('button', { name: `All ${before} to me` }).waitFor({ timeout: 60_000 });
  assert.equal(await nobodys(), before);
  await context.close();
});

test('nothing moves: not by itself, not when a mark is read, not when a count is chosen', async () => {
  for (const size of Object.keys(sizes)) {
    const { page, context } = await opened(size);
    const shifts = () => page.evaluate(() => globalThis.shifted.reduce((sum, one) => sum + one, 0));
    const watchShifts = () =>
      page.evaluate(() => {
        globalThis.shifted = [];
        new PerformanceObserver((list) => globalThis.shifted.push(...list.getEntries().filter((one) => !one.hadRecentInput).map((one) => one.value))).observe({ type: 'layout-shift' });
      });
    const boxes = (selector) => page.evaluate((what) => [...document.querySelectorAll(what)].map((one) => one.getBoundingClientRect()).map(({ left, top, width, height }) => [left, top, width, height].map(Math.round)), selector);
    await settled(page, measure, cell);
    await watchShifts();
    await page.evaluate(() => dispatchEvent(new Event('online'))); // the board is asked for anew
    await settled(page, measure, cell);
    const chosen = page.getByRole('group', { name: 'How many lines, and which are shown' }).getByRole('button').nth(1);
    const fixed = await boxes('.count, .visit, .top');
    await chosen.click();
    assert.deepEqual(await boxes('.count, .visit, .top'), fixed, `${size}: a count is chosen`);
    await chosen.click();
    assert.deepEqual(await boxes('.count, .visit, .top'), fixed, `${size}: it is let go`);
    assert.equal(await shifts(), 0, `${size}: Watch`);

    await page.goto(`${ward.address}/#/${screens.line.hash(states)}`);
    await page.locator(screens.line.ready).first().waitFor();
    await settled(page, measure, cell);
    await watchShifts();
    const line = await boxes('.first, .falls li, .story, section[aria-labelledby=charted]');
    await page.getByRole('listbox').focus();
    for (const key of ['Home', 'ArrowRight', 'End']) {
      await page.keyboard.press(key);
      assert.deepEqual(await boxes('.first, .falls li, .story, section[aria-labelledby=charted]'), line, `${size}: a mark is read`);
    }
    assert.equal(await shifts(), 0, `${size}: one line`);
    table.push(['watch, line', size, 'en', 'light', 'layout shift', '≤ 0', 0, '']);
    await context.close();
  }
});

after(() => {
  const heads = ['screen', 'size', 'language', 'theme', 'what', 'budget', 'is', ''];
  const widths = heads.map((head, at) => Math.max(head.length, ...table.map((row) => String(row[at]).length)));
  for (const row of [heads, ...table]) console.log(`  ${row.map((one, at) => String(one).padEnd(widths[at])).join('  ').trimEnd()}`);
});
