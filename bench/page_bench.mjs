// The page on a slow device: 4G as browsers' tools emulate it (1.6 Mbit/s, 150 ms), a processor four times slower, a ward of
// 400 lines. Prints a table; nothing fails on time.
//   node bench/page_bench.mjs        (DWELL_BINARY names the binary)
import { fill, launch, open, serve } from '../tests/browser/ward.mjs';

const lines = 400;
const slowNetwork = { offline: false, latency: 150, downloadThroughput: (1.6 * 1024 * 1024) / 8, uploadThroughput: (750 * 1024) / 8 };

const median = (numbers) => numbers.toSorted((a, b) => a - b)[Math.floor(numbers.length / 2)];
const rows = [];
const row = (what, limit, measured, unit) => rows.push([what, `${limit} ${unit}`, `${Math.round(measured)} ${unit}`, (measured / limit).toFixed(2)]);

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
    await client.send('Emulation.setCPUThrottlingRate', { rate: 4 });
    const begin = Date.now();
    await page.reload({ waitUntil: 'commit' });
    await page.getByText('Next visit').waitFor();
    starts.push(Date.now() - begin);
    await context.close();
  }
  row('usable: the next visit stands, nothing kept from before (16 lines)', 1500, median(starts), 'ms');

  const { page, context } = await open(browser, ward.address, { width: 820, height: 1180 });
  await fill(ward.address, context.request, lines);
  const client = await context.newCDPSession(page);
  await page.reload();
  await page.getByText(`${lines} open lines`).waitFor();
  await page.waitForTimeout(6_000); // the whole engine comes behind the screen
  await client.send('Emulation.setCPUThrottlingRate', { rate: 4 });
  await page.evaluate(() => {
    window.seen = { tasks: [], taps: [] };
    new PerformanceObserver((list) => window.seen.tasks.push(...list.getEntries().map((one) => one.duration))).observe({ type: 'longtask' });
    new PerformanceObserver((list) => window.seen.taps.push(...list.getEntries().filter((one) => one.name === 'click').map((one) => one.duration))).observe({ type: 'event', durationThreshold: 16 });
  });
  const take = () => page.evaluate(() => { const { tasks, taps } = window.seen; window.seen.tasks = []; window.seen.taps = []; return { tasks, taps }; });
  await take();
  for (let y = 0; y < 40; y++) {
    await page.mouse.wheel(0, 900);
    await page.waitForTimeout(60);
  }
  const scrolled = await take();
  row(`longest task while ${lines} lines scroll by`, 50, Math.max(0, ...scrolled.tasks), 'ms');
  await page.evaluate(() => scrollTo(0, 0));
  for (const name of ['7 d', '24 h', 'By bed', 'By nurse', 'Most urgent first', 'My lines', 'All lines']) {
    await page.getByRole('button', { name, exact: true }).click();
    await page.waitForTimeout(900);
  }
  const onWard = await take();
  row(`slowest tap on a ward of ${lines} lines`, 100, Math.max(0, ...onWard.taps), 'ms');
  await page.getByRole('link', { name: /FERREIRA|CORVO|DEWITT/ }).first().click();
  await page.getByText('Check the site').first().waitFor();
  await page.getByRole('link', { name: 'Check the site' }).click();
  for (const sign of ['Redness', 'Warm', 'Swelling']) {
    await page.getByText(sign, { exact: true }).first().click();
    await page.waitForTimeout(500);
  }
  const atBed = await take();
  row('slowest tap on a site check', 100, Math.max(0, ...atBed.taps), 'ms');
  await context.close();
} finally {
  await browser.close();
  await ward.stop();
}
console.log('| what | limit | measured | share |\n| --- | --- | --- | --- |');
for (const one of rows) console.log(`| ${one.join(' | ')} |`);
