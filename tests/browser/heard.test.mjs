// The main job without eyes: by the names and roles that the browser hands to a screen reader, by keyboard, listening to what
// is announced. Then the page at twice the size, at 320 px, and without motion.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, open, quiet, serve, until } from './ward.mjs';

let ward, browser, page, context, faults, states;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context, faults } = await open(browser, ward.address, { who: null, width: 1280, height: 900 }));
  page.setDefaultTimeout(30_000);
  await page.evaluate(listen);
  states = (await (await context.request.get(`${ward.address}/api/ward`)).json()).states;
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

/** Writes down what a screen reader announces: changed words of a region that was there before, and alerts that appear. */
function listen() {
  const region = '[role=status], [aria-live=polite], [aria-live=assertive], [role=alert]';
  const known = new WeakSet(document.querySelectorAll(region));
  globalThis.announced = [];
  new MutationObserver((changes) => {
    const said = new Set();
    for (const { target, addedNodes } of changes) {
      const at = (target instanceof Element ? target : target.parentElement)?.closest(region);
      if (at && known.has(at)) said.add(at);
      for (const node of addedNodes) if (node instanceof Element) [node, ...node.querySelectorAll('*')].filter((one) => one.matches('[role=alert]')).forEach((one) => said.add(one));
    }
    for (const one of said) if (one.textContent.trim() !== '') globalThis.announced.push(one.textContent.replace(/\s+/g, ' ').trim());
    requestAnimationFrame(() => document.querySelectorAll(region).forEach((one) => known.add(one)));
  }).observe(document.body, { subtree: true, childList: true, characterData: true });
}
/** Waits until it was announced; forgets what was announced before. */
async function hears(what) {
  await page.waitForFunction(([source, flags]) => globalThis.announced.some((words) => new RegExp(source, flags).test(words)), [what.source, what.flags]).catch(async () => {
    assert.fail(`not announced: ${what}; heard: ${JSON.stringify(await page.evaluate(() => globalThis.announced))}`);
  });
  await page.evaluate(() => void (globalThis.announced = []));
}
const focused = () => page.evaluate(() => ({ tag: document.activeElement.tagName, id: document.activeElement.id, words: document.activeElement.textContent.trim() }));
const press = async (role, name) => {
  const wanted = page.getByRole(role, { name }).first();
  await wanted.focus();
  await page.keyboard.press(role === 'checkbox' ? 'Space' : 'Enter');
};
const go = async (hash) => page.evaluate((to) => (location.hash = to), `#/${hash}`);
const whoIs = (state) => new RegExp(`${state.patient.family}, ${state.patient.given}`);

test('from the start of the shift to a look that is charted', async () => {
  await page.getByRole('textbox', { name: /Name and role/ }).fill('E. Ahl, nurse');
  await page.keyboard.press('Enter');
  await hears(/^Watch$/);
  assert.deepEqual(await focused().then(({ tag }) => tag), 'MAIN');
  const first = await page.getByRole('listitem').filter({ has: page.getByRole('link') }).evaluateAll((rows) => rows.map((row) => row.querySelector('a')?.getAttribute('href')));
  const looked = states.find((one) => one.stage === 'dwelling' && one.running && first.includes(`#/watch/${one.id}`));
  await press('link', whoIs(looked));
  await hears(new RegExp(`^Watch: ${looked.patient.family}`));
  assert.equal(await page.title(), 'Watch · Dwell');
  await press('link', 'Check the site');
  await page.waitForFunction(() => document.activeElement.textContent === 'Check the site');
  await press('checkbox', /Redness/);
  await hears(/grade 1|grade 0|no grade/i);
  await press('checkbox', /Redness/);
  await press('button', /^Chart: (all sound|sound to look and feel)/);
  await hears(/Site check charted/);
});

test('Plan and Place: each step is led to, its clock is heard, a pack that is out of date is heard', async () => {
  const planned = states.find((one) => one.patient.family === 'LINDQUIST');
  await go('place');
  await hears(/^Place$/);
  await press('link', whoIs(planned));
  await hears(/^Place: LINDQUIST/);
  const title = (words) => page.waitForFunction((wanted) => document.activeElement.id === 'step-title' && document.activeElement.textContent.includes(wanted), words);
  await press('checkbox', /Two identifiers agree/);
  for (const step of ['The order and the need', 'Explain and ask', 'Which arm?']) {
    await press('button', 'Done, next');
    await title(step);
    await hears(/Step \d+ of \d+/);
  }
  await press('button', 'Left');
  await press('button', 'Done, next');
  await press('button', 'Done, next');
  await hears(/Step 6 of \d+: Supplies/); // the field waits for a hand scanner
  assert.equal((await focused()).id, 'pack');
  await press('button', 'Flush');
  await page.getByRole('textbox', { name: /code/i }).fill('(01)09506000134352(17)260228(10)LOT-A7');
  await page.keyboard.press('Enter');
  await hears(/expired/i);
  for (const step of ['Clean hands', 'Tourniquet', '', 'Clean the skin', 'Let it dry']) {
    await press('button', 'Done, next');
    await title(step);
  }
  await press('button', 'Start');
  await hears(/dry time: Wait \d+ s/);
});

test('Infuse: what is wrong in a field is heard, and so is the answer', async () => {
  await go('infuse');
  await hears(/^Infuse$/);
  await page.getByRole('textbox', { name: 'Volume', exact: true }).fill('1 bucket');
  await page.keyboard.press('Enter');
  await hears(/1 bucket/);
  await page.getByRole('textbox', { name: 'Volume', exact: true }).fill('1 L');
  await page.getByRole('textbox', { name: 'Time', exact: true }).fill('8 h');
  await page.keyboard.press('Enter');
  await hears(/125 mL\/h/);
});

test('Remove: a catheter that is short is heard at once', async () => {
  const dwelling = states.filter((one) => one.stage === 'dwelling' && one.running)[2];
  await go(`remove/${dwelling.id}`);
  await hears(/^Remove: /);
  await press('button', 'Done, next');
  await hears(/put right/); // a reason is asked for
  await page.getByRole('combobox', { name: 'Reason' }).selectOption({ index: 1 });
  await page.getByRole('textbox', { name: /order, or your reason/ }).fill('no longer needed');
  for (let step = 0; step < 12; step++) {
    if ((await focused()).words.includes('Look at the catheter')) break;
    await press('button', 'Done, next');
    await page.waitForFunction(() => document.activeElement.id === 'step-title');
  }
  await page.getByRole('textbox', { name: /length/i }).fill('12 mm');
  await press('button', 'Compare');
  await hears(/CATHETER NOT WHOLE/);
});

const screensOf = () => {
  const dwelling = states.find((one) => one.stage === 'dwelling' && one.running).id;
  const planned = states.find((one) => one.patient.family === 'LINDQUIST').id;
  return ['watch', `watch/${dwelling}`, `watch/${dwelling}/check`, 'plan', `plan/${planned}`, 'place', `place/${planned}`, 'infuse', `infuse/${dwelling}`, 'remove', `remove/${dwelling}`, 'learn', 'handover', 'begin', 'policy', 'practice', 'settings', 'entries'];
};

test('every screen has its landmarks, one first heading, no level left out, and a title of its own', async () => {
  const titles = new Map();
  for (const hash of screensOf()) {
    await go(hash);
    await page.locator('main :is(h1, h2)').first().waitFor();
    await quiet(page);
    for (const role of ['banner', 'navigation', 'main']) assert.equal(await page.getByRole(role).count(), 1, `${role} on ${hash}`);
    const levels = await page.getByRole('heading').evaluateAll((all) => all.filter((one) => one.checkVisibility()).map((one) => [Number(one.tagName[1]), one.textContent.trim()]));
    assert.equal(levels.filter(([level]) => level === 1).length, 1, `first headings on ${hash}: ${JSON.stringify(levels)}`);
    assert.equal(levels[0][0], 1, `${hash} begins with ${JSON.stringify(levels[0])}`);
    levels.slice(1).forEach(([level, words], at) => assert.ok(level <= levels[at][0] + 1, `${hash}: "${words}" (${level}) follows "${levels[at][1]}" (${levels[at][0]})`));
    titles.set(hash.split('/')[0], await page.title());
  }
  assert.equal(new Set(titles.values()).size, titles.size, JSON.stringify([...titles]));
});

test('a step back leads to the row that was left, a step on to the top', async () => {
  const { page: own, context: ownContext } = await open(browser, ward.address, { width: 390, height: 700 });
  own.setDefaultTimeout(30_000);
  await own.getByText('Next visit').waitFor();
  await own.mouse.move(200, 400);
  for (let turn = 0; turn < 8; turn++) {
    await own.mouse.wheel(0, 200);
    await own.waitForTimeout(80);
  }
  const left = await own.evaluate(() => scrollY);
  assert.ok(left > 400, `${left}`);
  const row = own.getByRole('region', { name: 'Lines of the ward on one time axis' }).getByRole('listitem').filter({ has: own.getByRole('link') });
  const seen = async () => (await row.evaluateAll((all) => all.find((one) => one.getBoundingClientRect().top > 150)?.getAttribute('aria-posinset')));
  const place = await seen();
  await row.nth(3).getByRole('link').evaluate((link) => link.click());
  await own.getByText('What falls due').waitFor();
  assert.equal(await own.evaluate(() => scrollY), 0);
  await own.goBack();
  await own.getByText('Next visit').waitFor();
  await until(async () => Math.abs((await own.evaluate(() => scrollY)) - left) < 60, 'the row that was left');
  assert.equal(await seen(), place);
  await ownContext.close();
});

for (const [what, width, height, letters] of [['at 200 %', 640, 450, null], ['at 400 %, 320 px wide', 320, 256, null], ['with letters of twice the size', 1280, 900, 32]])
  test(`${what}: nothing is cut off, nothing lies beside the screen`, async () => {
    const { page: own, context: ownContext } = await open(browser, ward.address, { width, height });
    own.setDefaultTimeout(30_000);
    // As the browser's own setting does it: the layouts, which are counted in letters, follow.
    if (letters) await (await ownContext.newCDPSession(own)).send('Page.setFontSizes', { fontSizes: { standard: letters, fixed: letters } });
    await own.locator('main h1').waitFor();
    for (const hash of screensOf()) {
      await own.goto(`${ward.address}/#/${hash}`);
      await own.locator('main :is(h1, h2)').first().waitFor();
      await quiet(own);
      const faultsHere = await own.evaluate(() => {
        const found = [];
        const { scrollWidth, clientWidth, clientHeight } = document.documentElement;
        if (scrollWidth > clientWidth) found.push(`${scrollWidth - clientWidth} px too wide`);
        for (const one of document.querySelectorAll('main *, header *, nav *')) {
          const style = getComputedStyle(one);
          const cuts = /hidden|clip/.test(style.overflowX) && one.clientWidth > 8 && one.scrollWidth > one.clientWidth + 1;
          if (cuts && one.checkVisibility() && one.textContent.trim() !== '' && one.closest('svg, .unseen') === null) found.push(`cut: ${one.tagName} "${one.textContent.trim().slice(0, 40)}"`);
        }
        const stuck = [...document.querySelectorAll('*')].filter((one) => getComputedStyle(one).position === 'fixed' && one.checkVisibility());
        for (const one of stuck) if (one.getBoundingClientRect().height > clientHeight / 2 && one.getBoundingClientRect().width > clientWidth / 2) found.push(`${one.tagName} covers the screen`);
        return found;
      });
      assert.deepEqual(faultsHere, [], `${hash} ${what}`);
    }
    await ownContext.close();
  });

test('who asked for less motion sees none', async () => {
  const id = states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity').id;
  const moving = async (motion) => {
    await page.emulateMedia({ reducedMotion: motion });
    await go(`infuse/${id}/drip`);
    const area = page.getByRole('button', { name: /Tap at each drop/ });
    await area.waitFor();
    await area.focus();
    await page.keyboard.press('Space');
    return page.evaluate(() => document.getAnimations().length);
  };
  assert.ok((await moving('no-preference')) > 0);
  await go('watch');
  assert.equal(await moving('reduce'), 0);
  assert.deepEqual(faults.filter((fault) => !fault.includes('422')), []);
});
