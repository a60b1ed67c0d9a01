// The page on a slow device, by Chromium's own trace: 4G as browsers' tools emulate it (1.6 Mbit/s, 150 ms), a processor four times
// slower, a ward of 400 lines. Prints a table; nothing fails on time. Beside the clock's time of a task stands the processor's own: what
// the task costs without waiting for other programs of the machine. What is only known by the clock (a tap to its paint, the start) is
// the median of several turns, and the load of the machine is said.
//   node bench/page_bench.mjs        (DWELL_BINARY names the binary)
import { cpus, loadavg } from 'node:os';
import { fill, launch, open, serve } from '../tests/browser/ward.mjs';

const lines = 400;
const slowNetwork = { offline: false, latency: 150, downloadThroughput: (1.6 * 1024 * 1024) / 8, uploadThroughput: (750 * 1024) / 8 };
const slower = 4;
const longTask = 50; // ms, as browsers' tools count them

const median = (numbers) => numbers.toSorted((a, b) => a - b)[Math.floor(numbers.length / 2)];
const rows = [];
const row = (what, limit, measured, unit, own) =>
  rows.push([what, `${limit} ${unit}`, `${Math.round(measured)} ${unit}`, (measured / limit).toFixed(2), own === undefined ? '–' : `${Math.round(own)} ${unit}`, own === undefined ? '–' : (own / limit).toFixed(2)]);

/** What a trace holds of the page's main thread: its tasks in ms, by the clock and by the processor; and its paints, from the start of the navigation, in ms. */
function read(trace) {
  const traceEvents = JSON.parse(trace.toString()).traceEvents.toSorted((a, b) => a.ts - b.ts);
  const painted = traceEvents.findLast(({ name }) => name === 'firstContentfulPaint');
  const start = traceEvents.findLast(({ name, args, ts }) => name === 'navigationStart' && args.data?.isOutermostMainFrame !== false && ts <= (painted?.ts ?? Infinity));
  const largest = traceEvents.findLast(({ name }) => name === 'largestContentfulPaint::Candidate');
  const process = start?.pid ?? traceEvents.findLast(({ name, args }) => name === 'thread_name' && args.name === 'CrRendererMain')?.pid;
  const own = traceEvents.filter(({ pid }) => pid === process);
  const main = own.find(({ name, args }) => name === 'thread_name' && args.name === 'CrRendererMain');
  const tasks = own.filter(({ name, ph, tid }) => ph === 'X' && tid === main?.tid && /RunTask$/.test(name)).map(({ dur, tdur }) => ({ lasts: dur / 1000, costs: (tdur ?? dur) / 1000 }));
  const since = (event) => (event === undefined || start === undefined ? NaN : (event.ts - start.ts) / 1000);
  return { tasks, painted: since(painted), largest: since(largest) };
}
const longest = (tasks, by = 'lasts') => Math.max(0, ...tasks.map((one) => one[by]));
const blocked = (tasks, by = 'lasts') => tasks.reduce((sum, one) => sum + Math.max(0, one[by] - longTask), 0);

async function traced(browser, page, work) {
  await browser.startTracing(page, { categories: ['toplevel', 'loading', 'blink.user_timing', 'devtools.timeline'] });
  await work();
  return read(await browser.stopTracing());
}

const ward = await serve(50);
const browser = await launch();
try {
  const starts = [];
  for (let turn = 0; turn < 5; turn++) {
    const { page, context } = await open(browser, ward.address, { width: 390, height: 844, keepsPage: false });
    const client = await context.newCDPSession(page);
    await client.send('Network.enable');
    await client.send('Network.setCacheDisabled', { cacheDisabled: true });
    await client.send('Network.emulateNetworkConditions', slowNetwork);
    await client.send('Emulation.setCPUThrottlingRate', { rate: slower });
    // By the page's own clock, from the start of its navigation: whoever asks from outside waits besides.
    await page.addInitScript(() => {
      const watch = new MutationObserver(() => {
        if (document.querySelector('.visit a.act') === null) return;
        globalThis.usableAt = performance.now();
        watch.disconnect();
      });
      watch.observe(document, { subtree: true, childList: true });
    });
    const found = await traced(browser, page, async () => {
      await page.reload({ waitUntil: 'commit' });
      await page.locator('.visit a.act').waitFor();
      await page.waitForTimeout(1_500);
    });
    const usable = await page.evaluate(() => globalThis.usableAt);
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
  row('blocked while it starts: all beyond 50 ms of each task', 200, of((one) => blocked(one.tasks)), 'ms', of((one) => blocked(one.tasks, 'costs')));
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
  row(`longest task while ${lines} lines scroll by`, longTask, longest(scrolled.tasks), 'ms', longest(scrolled.tasks, 'costs'));
  const above = (by) => String(scrolled.tasks.filter((one) => one[by] > longTask).length);
  rows.push([`tasks above ${longTask} ms while they do`, '0', above('lasts'), '–', above('costs'), '–']);
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
console.log(`Load of the machine (${cpus().length} cores): ${loadavg().map((one) => one.toFixed(1)).join(', ')} over 1, 5 and 15 min.\n`);
console.log('| what | limit | by the clock | share | by the processor | share |\n| --- | --- | --- | --- | --- | --- |');
for (const one of rows) console.log(`| ${one.join(' | ')} |`);
