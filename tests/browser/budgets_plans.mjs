// What Plan, Handover, Policy and Learn promise of their first screens: a row each for the table of budgets. `open` brings a page to
// the screen as it is opened; of each size: content at least, as a share of the first screen, and length in screens at most.
import { until } from './ward.mjs';

/** A case with three assessed veins, planned: the screen that the budgets of Plan are about. */
async function plan(page, address) {
  const { states } = await (await page.context().request.get(`${address}/api/ward`)).json();
  await page.goto(`${address}/#/plan/${states.find((one) => one.patient.family === 'LINDQUIST').id}`);
  const part = (side, region) => page.locator('.drawn-part').nth(side).locator('[role=button]').nth(region);
  const add = page.locator('.add');
  for (const [side, region, width, depth] of [
    [1, 3, '2.8 mm', '2 mm'], // the left arm, palm side: middle third of the forearm
    [1, 4, '2.3 mm', '2 mm'],
    [3, 5, '2 mm', '1.5 mm'], // its back of the hand
  ]) {
    await part(side, region).focus();
    await page.keyboard.press('Enter');
    await page.locator('#vein-width').fill(width);
    await page.locator('#vein-depth').fill(depth);
    const before = await page.locator('.veins li').count();
    await add.click();
    await until(async () => (await page.locator('.veins li').count()) === before + 1, 'the vein is added');
  }
  await page.locator('.bar .main').click();
  await page.locator('article').nth(2).waitFor();
}
/** Another part of the policy, by its place in the index. */
const longest = async (page, address) => {
  await page.goto(`${address}/#/policy`);
  await page.locator('.policy .rows li').first().waitFor();
  const counts = await page.locator('.choose option').evaluateAll((all) => all.map((one) => Number(/\((\d+)\)$/.exec(one.textContent)?.[1] ?? 0)));
  const most = await page.locator('.choose option').nth(counts.indexOf(Math.max(...counts))).evaluate((one) => one.textContent);
  await page.locator('.choose select').evaluate((select, wanted) => {
    select.value = [...select.options].find((one) => one.textContent === wanted).value;
    select.dispatchEvent(new Event('change', { bubbles: true }));
  }, most);
  await until(async () => (await page.locator('.policy .rows li').count()) === Math.max(...counts), 'the longest part stands');
};

export const rows = [
  { screen: 'plan', open: plan, budgets: { desktop: { content: 0.41, length: 1 }, tablet: { content: 0.4, length: 1.2 }, phone: { length: 3 } } }, // 0.42 in the drawings; an order that ends on another day takes a second line
  {
    screen: 'handover',
    open: async (page, address) => {
      await page.goto(`${address}/#/handover`);
      await page.locator('.handover .rows > li').first().waitFor();
    },
    budgets: { desktop: { content: 0.4, length: 1 }, tablet: { length: 1.4 }, phone: { length: 1.8 } },
  },
  {
    screen: 'learn',
    open: async (page, address) => {
      await page.goto(`${address}/#/learn`);
      await page.locator('.question').nth(5).waitFor();
    },
    budgets: { desktop: { content: 0.55, length: 1 }, tablet: { length: 1.6 }, phone: { length: 3.5 } },
  },
  { screen: 'policy', open: longest, budgets: { desktop: { content: 0.25, length: 1.4 }, tablet: { length: 1.6 }, phone: { length: 2.5 } } },
];
