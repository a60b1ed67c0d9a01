// The page on a slow device, by Chromium's own trace: 4G as browsers' tools emulate it (1.6 Mbit/s, 150 ms), a processor four times
// slower, a ward of 400 lines. Prints a table; nothing fails on time.
//   node bench/page_bench.mjs        (DWELL_BINARY names the binary)
import { fill, launch, open, serve } from '../tests/browser/ward.mjs';

const lines = 400;
const slowNetwork = { offline: false, latency: 150, downloadThroughput: (1.6 * 1024 * 1024) / 8, uploadThroughput: (750 * 1024) / 8 };
const slower = 4;
const longTask = 50; // ms, as browsers' tools count them

const median = (numbers) => numbers.toSorted((a, b) => a - b)[Math.floor(numbers.length / 2)];
const rows = [];
const row = (what, limit, measured, unit) => rows.push([what, `${limit} ${unit}`, `${Math.round(measured)} ${unit}`, (measured / limit).toFixed(2)]);

/** What a trace holds of the page's main thread: its tasks in ms, and moments from the start of the navigation, in ms. */
function read(trace) {
  const { traceEvents } = JSON.parse(trace.toString());
  const start = traceEvents.filter(({ name, args }) => name === 'navigationStart' && args.data?.isOutermostMainFrame !== false).at(-1);
  const own = start === undefined ? traceEvents : traceEvents.filter(({ pid }) => pid === start.pid);
  const main = own.find(({ name, args }) => name === 'thread_name' && args.name === 'CrRendererMain');
  const tasks = own.filter(({ name, ph, tid }) => ph === 'X' && tid === main?.tid && /RunTask$/.test(name)).map(({ dur, ts }) => ({ at: ts, lasts: dur / 1000 }));
  const since = (name) => {
    const event = own.filter((one) => one.name === name).at(-1);
    return event === undefined || start === undefined ? 0 : (event.ts - start.ts) / 1000;
  };
  return { tasks, painted: since('firstContentfulPaint'), largest: since('largestContentfulPaint::Candidate') };
}
const longest = (tasks) => Math.max(0, ...tasks.map(({ lasts }) => lasts));
const blocked = (tasks) => tasks.reduce((sum, { lasts }) => sum + Math.max(0, lasts - longTask), 0);

async function traced(browser, page, work) {
  await browser.startTracing(page, { categories: ['toplevel', 'loading', 'blink.user_timing', 'devtools.timeline'] });
  await work();
  return read(await browser.stopTracing());
}

const ward = await serve(50);
const browser = await launch();
try {
  const starts = [];
  for (let turn = 0; turn < 3; turn++) {
    const { page, context } = await open(browser, ward.address, { width: 390, height: 844, keepsPage: false });
    const client = await context.newCDPSession(page);
    await client.send('Network.enable');
    await client.send('Network.setCacheDisabled', { cacheDisabled: true });
    await client.send('Network.emulateNetworkConditions', slowNetwork);
    await client.send('Emulation.setCPUThrottlingRate', { rate: slower });
    let usable = 0;
    const found = await traced(browser, page, async () => {
      const begin = Date.now();
      await page.reload({ waitUntil: 'commit' });
      await page.locator('.visit a.act').waitFor();
      usable = Date.now() - begin;
      await page.waitForTimeout(1_500);
    });
    const shift = await page.evaluate(() => new Promise((done) => {
      let sum = 0;
      new PerformanceObserver((list) => list.getEntries().forEach((one) => (sum += one.hadRecentInput ? 0 : one.value))).observe({ type: 'layout-shift', buffered: true });
      setTimeout(() => done(sum), 200);
    }));
    starts.push({ usable, shift, ...found });
    await context.close();
  }
  const of = (what) => median(starts.map(what));
  row('usable: the next visit stands, nothing kept from before (16 lines)', 1_000, of((one) => one.usable), 'ms');
  row('first paint with content', 1_000, of((one) => one.painted), 'ms');
  row('largest paint', 2_500, of((one) => one.largest), 'ms');
  row('blocked while it starts: all beyond 50 ms of each task', 200, of((one) => blocked(one.tasks)), 'ms');
  row('layout shift while it starts, in thousandths', 100, 1_000 * of((one) => one.shift), '');

  const { page, context } = await open(browser, ward.address, { width: 820, height: 1180 });
  page.setDefaultTimeout(60_000);
  await fill(ward.address, context.request, lines);
  const client = await context.newCDPSession(page);
  await page.reload();
  await page.getByText(`${lines} open lines`).waitFor({ state: 'attached' });
  await page.waitForTimeout(6_000); // the whole engine comes behind the screen
  await client.send('Emulation.setCPUThrottlingRate', { rate: slower });
  await page.evaluate(() => {
    window.taps = [];
    new PerformanceObserver((list) => window.taps.push(...list.getEntries().filter((one) => one.name === 'click').map((one) => one.duration))).observe({ type: 'event', durationThreshold: 16 });
  });
  const slowest = () => page.evaluate(() => Math.max(0, ...window.taps.splice(0)));
  const scrolled = await traced(browser, page, async () => {
    for (let y = 0; y < 40; y++) {
      await page.mouse.wheel(0, 900);
      await page.waitForTimeout(60);
    }
  });
  row(`longest task while ${lines} lines scroll by`, longTask, longest(scrolled.tasks), 'ms');
  rows.push(['tasks above 50 ms while they do', '0', String(scrolled.tasks.filter(({ lasts }) => lasts > longTask).length), '']);
  await page.evaluate(() => scrollTo(0, 0));
  await slowest();
  const opens = page.locator('.strip .opens');
  if (await opens.isVisible()) await opens.click();
  for (const name of ['7 d', '24 h', 'By bed', 'By nurse', 'Most urgent first', 'My lines', 'All lines']) {
    await page.getByRole('button', { name, exact: true }).locator('visible=true').first().click();
    await page.waitForTimeout(900);
  }
  row(`slowest tap on a ward of ${lines} lines`, 100, await slowest(), 'ms');
  await page.locator('.ward [role=listitem] a').first().click();
  await page.waitForURL(/#\/watch\/.+/);
  await page.goto(`${page.url().replace(/\/check$/, '')}/check`);
  for (const sign of ['Redness', 'Warm', 'Swelling']) {
    await page.getByText(sign, { exact: true }).first().click();
    await page.waitForTimeout(500);
  }
  row('slowest tap on a site check', 100, await slowest(), 'ms');
  await context.close();
} finally {
  await browser.close();
  await ward.stop();
}
console.log('| what | limit | measured | share |\n| --- | --- | --- | --- |');
for (const one of rows) console.log(`| ${one.join(' | ')} |`);
