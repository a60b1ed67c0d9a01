// The page in the pseudo-language: every word of the catalogue in longer letters. What stands on a screen in plain letters
// comes from outside the catalogue, and would be English to whoever reads another language.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { launch, open, serve } from './ward.mjs';

let ward, browser, page, context, states, facts;
before(async () => {
  ward = await serve(20);
  browser = await launch();
  ({ page, context } = await open(browser, ward.address, { who: null }));
  page.setDefaultTimeout(30_000);
  await page.evaluate(() => localStorage.setItem('dwell.language.device', '"en-XA"'));
  await page.reload();
  await page.locator('#who').fill('M. Koller');
  await page.locator('#who').press('Enter');
  const api = async (path) => (await context.request.get(`${ward.address}/api/${path}`)).json();
  ({ states } = await api('ward'));
  const lines = await Promise.all(states.map(({ id }) => api(`lines/${id}`)));
  facts = ownWords([lines.flatMap(({ events }) => events), await api('about'), 'M. Koller'], await api('library'));
});
after(async () => {
  await browser?.close();
  await ward?.stop();
});

/** What is nobody's to translate: what people wrote, names that were given, and the texts of the ward's own lists. */
function ownWords(facts, library) {
  const all = new Set();
  const take = (value, isOwn) => {
    if (typeof value === 'string') {
      // A word of a closed set, such as "hand_back", is the program's: it has words in the catalogue.
      if (isOwn && /[ .A-Z]/.test(value)) all.add(value);
    } else if (Array.isArray(value)) value.forEach((one) => take(one, isOwn));
    else if (typeof value === 'object' && value !== null)
      for (const [key, one] of Object.entries(value)) take(one, isOwn || key === 'en' || key === 'text' || key === 'source' || key === 'name');
  };
  take(facts, true);
  take(library, false);
  Object.keys(library.infusates).forEach((name) => all.add(name));
  for (const { sites = [] } of states) for (const { vein } of sites) all.add(vein);
  for (const { site } of states) if (site?.vein) all.add(site.vein);
  return [...all].map((words) => words.trim()).filter((words) => words.length > 1).sort((a, b) => b.length - a.length);
}

// Written alike in every language, or by the engine's display; "Dwell" is a name.
const units = /(?<![A-Za-z])(?:mL|L|dL|kg|g|mg|mcg|cm|mm|m|in|h|d|min|s|y|drops?|units?|milliunits|mmol|mol|mOsm|G|kPa|mmHg|psi|day|nanograms|micromol|pH|Dwell|English|Español|Pseudo|PDF|PIN|GS1|Ctrl|Esc|Enter|Tab)(?![A-Za-z])/g;

/** Pieces of the screen that somebody sees and that hold a plain word. */
async function plainWords() {
  const shown = await page.evaluate(() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const found = new Set();
    while (walker.nextNode()) {
      const { parentElement: of, textContent } = walker.currentNode;
      if (textContent.trim() !== '' && of.closest('script, style, datalist, bdi, option') === null && of.checkVisibility()) found.add(textContent.replace(/\s+/g, ' ').trim());
    }
    return [...found];
  });
  return shown.filter((text) => {
    let rest = text;
    for (const own of facts) rest = rest.replaceAll(own.replace(/\s+/g, ' '), ' ');
    return /(?<!\p{L})(?=\p{L}*[aeiouAEIOU])\p{L}{2,}/u.test(rest.replaceAll(units, ' ').replaceAll(/\p{L}*[^\x00-\x7f]\p{L}*/gu, ' '));
  });
}

const screens = () => {
  const dwelling = states.find((one) => one.stage === 'dwelling' && one.running?.delivery === 'gravity').id;
  const planned = states.find((one) => one.patient.family === 'LINDQUIST').id;
  return ['watch', `watch/${dwelling}`, `watch/${dwelling}/check`, `plan/${planned}`, `place/${planned}`, `infuse/${dwelling}`, `remove/${dwelling}`, 'learn', 'handover', 'begin', 'policy', 'practice', 'settings'];
};

test('no screen shows a word from outside the catalogue', async () => {
  const outside = {};
  for (const hash of screens()) {
    await page.goto(`${ward.address}/#/${hash}`);
    await page.locator('main h1, main h2').first().waitFor();
    await page.waitForFunction(() => document.querySelector('main [role=status]:not(:empty)') === null || document.querySelectorAll('main section').length > 1).catch(() => undefined);
    const found = await plainWords();
    if (found.length > 0) outside[hash.replace(/[0-9a-f-]{36}/, '…')] = found;
  }
  assert.deepEqual(outside, {});
});

test('the test sees a word that is not in the catalogue', async () => {
  await page.evaluate(() => document.querySelector('main').append('Plain words of nobody'));
  assert.deepEqual((await plainWords()).filter((words) => words.startsWith('Plain')), ['Plain words of nobody']);
});

// English calls a figure by its key, so that the pseudo-language cannot tell a figure without a Spanish name from one with it.
test('no part and no figure of the policy is called by its English name in Spanish', async () => {
  const named = async (language) => {
    const { page, context } = await open(browser, ward.address, { language, keepsPage: false });
    await page.goto(`${ward.address}/#/policy`);
    await page.locator('.policy .rows li').first().waitFor();
    const parts = await page.locator('.choose option').allTextContents();
    const all = [];
    for (const [i, part] of parts.entries()) {
      // Wide, the index stands in its place; it is the same choice.
      await page.locator('.choose select').evaluate((select, at) => {
        select.selectedIndex = at;
        select.dispatchEvent(new Event('change', { bubbles: true }));
      }, i);
      const rows = Number(/\((\d+)\)$/.exec(part)?.[1] ?? 0);
      if (rows > 0) await page.locator('.policy .rows li').nth(rows - 1).waitFor();
      all.push(part, ...(rows > 0 ? await page.locator('.policy .rows li').evaluateAll((list) => list.map((one) => one.querySelector('.name')?.textContent?.trim() ?? '')) : []));
    }
    await context.close();
    return all;
  };
  const english = await named('en');
  const spanish = await named('es');
  assert.ok(english.length > 200, 'all were read');
  assert.equal(spanish.length, english.length);
  assert.deepEqual(english.filter((name, i) => /[a-z]{3}/i.test(name) && name === spanish[i]), []);
});
