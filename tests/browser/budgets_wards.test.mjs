// Wards as the drawings only describe them: of forty lines, with beds and people of long names, with none, with one and with two
// emergencies; and letters of twice the size on a phone. Nothing lies on something else, nothing is wider than the screen, and what an
// emergency is, and where the other one is, stands in sight.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { fill, launch, open, quiet, serve, v7 } from './ward.mjs';

const sizes = { desktop: { width: 1440, height: 900 }, tablet: { width: 1024, height: 768 }, phone: { width: 390, height: 844 } };
const looks = [{ language: 'en', dark: false }, { language: 'es', dark: true }];
let browser;
const wards = {};
const statesOf = async (address, request) => (await (await request.get(`${address}/api/ward`)).json()).states;
async function post(address, request, line, bodies) {
  const at = new Date().toISOString();
  const data = bodies.map((body) => ({ id: v7(), line, occurred_at: at, recorded_at: at, author: 'S. Iqbal, nurse', device: 'other', schema: 2, body }));
  assert.ok((await request.post(`${address}/api/events?together`, { data })).ok());
}
const short = { kind: 'removed', reason: 'therapy_complete', ground: 'done', length_found: '20 mm', tip_whole: false, bleeding_stopped: true, signs: { assessed: false, present: [] }, grades: [], remover: '', tolerance: '', teaching: '' };
const leak = { kind: 'site_checked', signs: { assessed: true, present: ['swelling', 'blanching'] }, grades: [], response: 'leak_vesicant_vasopressor', note: '' };
const longNames = [
  ['VAN DER WESTHUIZEN-ABERNATHY', 'Maximiliana Constantina Theodora'],
  ['KRISHNAMURTHY-VENKATARAMAN', 'Subrahmanyan Chandrasekharan'],
  ['FERNÁNDEZ DE LA CUEVA Y MENDOZA', 'María de los Ángeles'],
];

before(async () => {
  browser = await launch();
  for (const name of ['forty', 'long', 'one', 'two']) {
    wards[name] = await serve(20);
    const { address } = wards[name];
    const { context } = await open(browser, address, { who: null });
    const states = await statesOf(address, context.request);
    const of = (family) => states.find((one) => one.patient.family === family).id;
    if (name === 'forty') await fill(address, context.request, 40);
    if (name === 'one' || name === 'two') await post(address, context.request, of('HOLLOWAY'), [short]);
    if (name === 'two') {
      await post(address, context.request, of('DEWITT'), [leak]);
      // The graver of the two is answered in part: where least was answered comes first.
      await post(address, context.request, of('HOLLOWAY'), [{ kind: 'responded', response: 'catheter_fragment', done: ['Limb still'], acts: [], called: '', note: '' }]);
    }
    if (name === 'long')
      for (const [i, [family, given]] of longNames.entries())
        await post(address, context.request, v7(), [
          { kind: 'opened', patient: { ...states[0].patient, family, given, number: `LONG-00000000000${i}` }, place: { ...states[0].place, bed: `Bay ${i + 1}, window` } },
        ]);
    await context.close();
  }
});
after(async () => {
  await browser?.close();
  for (const ward of Object.values(wards)) await ward.stop();
});

/** In the page: rows that lie on each other, or out of which something hangs; what is wider than the screen. */
function untidy() {
  const wrong = [];
  const wider = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wider > 0) wrong.push(`${wider} px too wide`);
  const shown = (node) => node.checkVisibility({ visibilityProperty: true }) && node.closest('.unseen') === null && node.getBoundingClientRect().width > 2;
  for (const list of ['.ward [role=listitem] a', '.round li a']) {
    const rows = [...document.querySelectorAll(list)].filter(shown);
    for (const row of rows) {
      const box = row.getBoundingClientRect();
      for (const part of row.querySelectorAll('.bed, .patient, .task, .when, b, small')) {
        const is = part.getBoundingClientRect();
        if (!shown(part) || getComputedStyle(part).position === 'absolute') continue;
        if (is.top < box.top - 2 || is.bottom > box.bottom + 2) wrong.push(`out of its row: ${part.textContent.trim().slice(0, 30)}, ${Math.round(is.top - box.top)} to ${Math.round(is.bottom - box.bottom)}`);
      }
    }
    const tops = rows.map((row) => row.getBoundingClientRect()).toSorted((a, b) => a.top - b.top);
    for (let i = 1; i < tops.length; i++) if (tops[i].top < tops[i - 1].bottom - 1 && tops[i].left < tops[i - 1].right) wrong.push(`${list}: a row lies on another`);
  }
  const visit = document.querySelector('.visit section');
  const act = visit?.querySelector('.act')?.getBoundingClientRect();
  for (const part of visit?.querySelectorAll('h2, .what, .others') ?? []) {
    const box = part.getBoundingClientRect();
    if (!shown(part) || act === undefined) continue;
    if (box.bottom > act.top + 1 && box.right > act.left + 1 && box.left < act.right - 1 && box.top < act.bottom - 1) wrong.push(`the act covers ${part.className || part.tagName}`);
    if (part.matches('.others') && part.scrollWidth > part.clientWidth + 1) wrong.push('the other emergency is cut');
  }
  return wrong;
}

for (const name of ['forty', 'long', 'one', 'two'])
  for (const [size, box] of Object.entries(sizes))
    test(`a ward, ${name}, ${size}: nothing lies on something else, and nothing is cut that must be read`, async () => {
      for (const look of looks) {
        const { page, context, faults } = await open(browser, wards[name].address, { ...box, ...look, keepsPage: false });
        await page.locator('.visit .act').waitFor();
        await page.locator('.ward svg.ribbon').first().waitFor();
        await quiet(page);
        assert.deepEqual(await page.evaluate(untidy), [], look.language);
        assert.deepEqual(faults, []);
        await context.close();
      }
    });

test('of two emergencies the one that nobody answered is the next visit, and the other is the first stop of the round', async () => {
  const { page, context } = await open(browser, wards.two.address, { ...sizes.desktop, keepsPage: false });
  await page.locator('.visit .act').waitFor();
  await page.locator('.round li').first().waitFor();
  const heading = await page.locator('.visit h2').innerText();
  assert.match(heading, /Bed 4\b.*Bed 8\b/s);
  const stops = await page.locator('.round li b').allInnerTexts();
  assert.equal(stops[0], '8');
  assert.ok(!stops.includes('4'));
  await context.close();
});

test('a ward without a line says so in one place, and offers to plan one', async () => {
  // Still: what happens on the ward meanwhile would come to the page besides.
  const still = await serve(20, { still: true });
  for (const box of Object.values(sizes)) {
    const { page, context } = await open(browser, still.address, { ...box, keepsPage: false });
    await page.route('**/api/ward*', async (route) => {
      const answer = await route.fetch();
      await route.fulfill({ response: answer, json: { ...(await answer.json()), states: [], due: [], visits: [] } });
    });
    await page.reload();
    await page.getByText('No line is open on this ward.').waitFor();
    await quiet(page);
    assert.deepEqual(await page.evaluate(untidy), []);
    const { height } = await page.locator('.visit').boundingBox();
    assert.ok(height <= 80, `${height} px for nothing`);
    assert.ok(await page.locator('.nothing').getByRole('link').isVisible());
    await context.close();
  }
  await still.stop();
});

test('letters of twice the size on a phone: no screen is wider than it', async () => {
  const { page, context } = await open(browser, wards.two.address, { ...sizes.phone, letters: 32, keepsPage: false });
  page.setDefaultTimeout(40_000);
  await page.locator('.visit .act').waitFor();
  const states = await statesOf(wards.two.address, context.request);
  const of = (family) => states.find((one) => one.patient.family === family).id;
  const wide = [];
  for (const hash of ['watch', `watch/${of('CORVO')}`, `watch/${of('IVARSSON')}/check`, `watch/${of('CORVO')}/response`, `watch/${of('HOLLOWAY')}/response`, `plan/${of('LINDQUIST')}`, `place/${of('LINDQUIST')}`, `infuse/${of('CORVO')}`, `remove/${of('JANKOVIC')}`, 'handover', 'policy', 'practice', 'settings', 'begin']) {
    await page.goto(`${wards.two.address}/#/${hash}`);
    await page.waitForTimeout(700);
    await quiet(page);
    const is = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (is > 0) wide.push(`${hash}: ${is} px`);
  }
  assert.deepEqual(wide, []);
  await context.close();
});
