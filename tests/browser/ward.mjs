// A served demo ward and a real Chromium for the tests of this folder.
import { execFileSync, spawn } from 'node:child_process';
import { mkdir, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after } from 'node:test';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));
const require = createRequire(join(root, 'web', 'package.json'));
export const { chromium } = require('playwright-core');
export const { v7 } = require('uuid');
export const axeSource = require.resolve('axe-core/axe.min.js');
const { PNG } = require('pngjs');
const pixelmatch = (await import(require.resolve('pixelmatch'))).default;

// The guide's pictures change only when someone means it: DWELL_KEEP_PICTURES=1. Else a run leaves its own beside the build.
const guide = join(root, 'docs', 'guide', 'pictures');
const keepsPictures = process.env.DWELL_KEEP_PICTURES === '1';
export const pictures = keepsPictures ? guide : join(root, 'build', 'pictures');
await mkdir(pictures, { recursive: true });

const binary = process.env.DWELL_BINARY ?? join(root, 'build', 'release', 'dwell');

/** For pictures that are compared: a ward where it is always this moment. */
export const stillMoment = '2026-11-25T10:00:00Z';

/** What libfaketime reads. Its own command would stand between us and the server, and not pass the signal on. */
function stoppedClock() {
  const moment = stillMoment.replace('T', ' ').replace('Z', '');
  const library = execFileSync('faketime', ['-m', '-f', moment, 'printenv', 'LD_PRELOAD'], { encoding: 'utf8' }).trim();
  return { LD_PRELOAD: library, FAKETIME: moment, FAKETIME_DONT_FAKE_MONOTONIC: '1' };
}

/** The servers that still run: a test that fails before it stops its own must not keep this program from ending. */
const running = new Set();
after(() => Promise.all([...running].map((stop) => stop())));

/** Starts `dwell serve --demo` on a free port with a ledger of its own; at a moment that stands still, if asked. */
export async function serve(history = 400, { still = false } = {}) {
  const box = await mkdtemp(join(tmpdir(), 'dwell-browser-'));
  const server = spawn(binary, ['--ledger', join(box, 'ward.sqlite'), 'serve', '--demo', '--history', String(history), '--port', '0'], {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, TZ: 'Europe/Dublin', ...(still ? stoppedClock() : {}) },
  });
  const address = await new Promise((found, failed) => {
    let said = '';
    server.stdout.on('data', (piece) => {
      said += piece;
      const match = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      if (match) found(match[0]);
    });
    server.on('exit', () => failed(new Error(`the server ended: ${said}`)));
  });
  const stop = async () => {
    if (!running.delete(stop)) return;
    const ended = new Promise((done) => server.on('exit', done));
    if (server.exitCode === null && server.signalCode === null) {
      server.kill('SIGTERM');
      const hard = setTimeout(() => server.kill('SIGKILL'), 30_000);
      await ended;
      clearTimeout(hard);
    }
    await rm(box, { recursive: true, force: true });
  };
  running.add(stop);
  return { address, stop };
}

/** Fills the ward: the demo's open lines again and again, each with ids and a bed of its own. */
export async function fill(address, request, lines) {
  const { states } = await (await request.get(`${address}/api/ward`)).json();
  const stories = await Promise.all(states.map(async ({ id }) => (await (await request.get(`${address}/api/lines/${id}`)).json()).events));
  for (let made = states.length; made < lines; made++) {
    const line = v7();
    const ids = new Map();
    const events = stories[made % stories.length].map((event) => {
      ids.set(event.id, v7({ msecs: Date.parse(event.recorded_at) }));
      const { receipt: _, ...said } = structuredClone(event);
      const copy = { ...said, id: ids.get(event.id), line };
      if (copy.corrects) copy.corrects = ids.get(copy.corrects) ?? copy.corrects;
      if (copy.body.kind === 'opened') copy.body.place.bed = String(made + 1);
      return copy;
    });
    const answer = await request.post(`${address}/api/events?together`, { data: events });
    if (!answer.ok()) throw new Error(await answer.text());
  }
}

export const launch = () =>
  chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

/** A page of a given size on the ward, with a person charting. Errors of the page fail the test that made it. */
export async function open(browser, address, { width = 1440, height = 1000, dark = false, who = 'M. Koller, nurse', keepsPage = true, still = false, language = 'en', letters = null } = {}) {
  const context = await browser.newContext({
    viewport: { width, height },
    colorScheme: dark ? 'dark' : 'light',
    locale: language,
    timezoneId: 'Europe/Dublin',
    reducedMotion: 'reduce',
    serviceWorkers: keepsPage ? 'allow' : 'block',
  });
  const page = await context.newPage();
  if (still) await page.clock.setFixedTime(stillMoment);
  const faults = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    // A refusal by the engine is an answer (422), though the browser writes it down as an error.
    if (message.type() === 'error' && !message.text().includes('status of 422')) faults.push(message.text());
  });
  // As the browser's own setting does it: the layouts, which are counted in letters, follow.
  if (letters !== null) await (await context.newCDPSession(page)).send('Page.setFontSizes', { fontSizes: { standard: letters, fixed: letters } });
  await page.goto(address);
  if (who !== null && language === 'en') {
    await page.getByLabel('Name and role').fill(who);
    await page.getByRole('button', { name: 'Start charting' }).click();
  } else if (who !== null) {
    await page.getByRole('textbox').first().fill(who);
    await page.getByRole('textbox').first().press('Enter');
  }
  return { page, context, faults };
}

/** The one tap that charts a sound site: it says so, and of whoever cannot report pain it claims less. */
export const soundName = /^Chart: (all sound|sound to look and feel)/;

/** Charts a sound site by that tap; where something was seen before, it is said first to be gone. */
export async function chartSound(page) {
  const chart = page.getByRole('button', { name: soundName });
  const yes = page.getByRole('group', { name: /^Seen / }).getByRole('button', { name: 'Yes' });
  // Asked again: the page of the line before may still stand when this begins.
  await until(async () => {
    if (page.url().endsWith('/response')) return true; // what comes next stands there
    await page.locator('.bar .main').waitFor({ timeout: 3_000 }).catch(() => undefined);
    if ((await yes.count()) > 0 && (await yes.getAttribute('aria-pressed', { timeout: 3_000 }).catch(() => 'true')) !== 'true') await yes.click({ timeout: 3_000 }).catch(() => undefined);
    if (!(await chart.click({ timeout: 3_000 }).then(() => true, () => false))) return false;
    // Once tapped it is not tapped again: two taps would chart two looks.
    return page.waitForURL(/\/response$/, { timeout: 40_000 }).then(() => true);
  }, 'the site is charted', 90_000).catch(async (error) => {
    throw new Error(`${error.message}; ${page.url()}; ${await page.locator('main').innerText()}`);
  });
}

/** Asks again until it is so; a promise given to the page's own waiting would count as true. */
export async function until(isSo, what, patience = 15_000) {
  for (const end = Date.now() + patience; Date.now() < end; await new Promise((next) => setTimeout(next, 100))) if (await isSo()) return;
  throw new Error(`not so after ${patience} ms: ${what}`);
}

/** Until this device answers without a network; its engine comes behind the first screen. */
export const engineHere = (page) => page.waitForFunction(() => document.documentElement.dataset.engine === 'here', undefined, { timeout: 120_000 });

/** Until the page has stopped changing: an answer that came is drawn, however slow the machine is. */
export const quiet = (page) =>
  page.evaluate(
    () =>
      new Promise((done) => {
        let frames = 0;
        const watch = new MutationObserver(() => (frames = 0));
        watch.observe(document.body, { subtree: true, childList: true, attributes: true, characterData: true });
        const each = () => {
          if (++frames < 12) return requestAnimationFrame(each);
          watch.disconnect();
          done();
        };
        requestAnimationFrame(each);
      }),
  );

/** What axe finds against WCAG 2.2 AA, target size included. */
export async function violations(page) {
  // The page's content policy refuses foreign scripts; the debugger may still run one.
  await page.evaluate(await readFile(axeSource, 'utf8'));
  return page.evaluate(async () => {
    const result = await globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
    return result.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(' ')).slice(0, 4).join(' | ')}`);
  });
}

/** The share of a picture's points that may differ: letters are not drawn alike by every version of the browser. */
const tolerated = { sameBrowser: 0.001, otherBrowser: 0.03 };

/** Takes a picture of the page and compares it with the guide's; what changed, in words, or nothing. */
export async function changeOf(page, name) {
  const taken = await page.screenshot({ animations: 'disabled', caret: 'hide' });
  const version = page.context().browser().version();
  await writeFile(join(pictures, `${name}.png`), taken);
  if (keepsPictures) {
    await writeFile(join(guide, 'taken.json'), `${JSON.stringify({ chromium: version })}\n`);
    return null;
  }
  const kept = PNG.sync.read(await readFile(join(guide, `${name}.png`)));
  const now = PNG.sync.read(taken);
  if (kept.width !== now.width || kept.height !== now.height) return `${name}: ${now.width} by ${now.height}, kept ${kept.width} by ${kept.height}`;
  const difference = new PNG({ width: now.width, height: now.height });
  const share = pixelmatch(kept.data, now.data, difference.data, now.width, now.height, { threshold: 0.1 }) / (now.width * now.height);
  const { chromium: takenBy } = JSON.parse(await readFile(join(guide, 'taken.json'), 'utf8'));
  if (share <= (takenBy === version ? tolerated.sameBrowser : tolerated.otherBrowser)) return null;
  await writeFile(join(pictures, `${name}-difference.png`), PNG.sync.write(difference));
  return `${name}: ${(100 * share).toFixed(2)} % of the picture changed`;
}
