// A served demo ward and a real Chromium for the tests of this folder.
import { spawn } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const root = fileURLToPath(new URL('../../', import.meta.url));
const require = createRequire(join(root, 'web', 'package.json'));
export const { chromium } = require('playwright-core');
export const axeSource = require.resolve('axe-core/axe.min.js');
export const pictures = join(root, 'docs', 'guide', 'pictures');

const binary = process.env.DWELL_BINARY ?? join(root, 'build', 'release', 'dwell');

/** Starts `dwell serve --demo` on a free port with a ledger of its own. */
export async function serve(history = 400) {
  const box = await mkdtemp(join(tmpdir(), 'dwell-browser-'));
  const server = spawn(binary, ['--ledger', join(box, 'ward.sqlite'), 'serve', '--demo', '--history', String(history), '--port', '0'], {
    stdio: ['ignore', 'pipe', 'inherit'],
    env: { ...process.env, TZ: 'Europe/Dublin' },
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
  return {
    address,
    async stop() {
      const ended = new Promise((done) => server.on('exit', done));
      server.kill('SIGTERM');
      await ended;
      await rm(box, { recursive: true, force: true });
    },
  };
}

export const launch = () =>
  chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });

/** A page of a given size on the ward, with a person charting. Errors of the page fail the test that made it. */
export async function open(browser, address, { width = 1440, height = 1000, dark = false, who = 'M. Koller, nurse', keepsPage = true } = {}) {
  const context = await browser.newContext({
    viewport: { width, height },
    colorScheme: dark ? 'dark' : 'light',
    timezoneId: 'Europe/Dublin',
    reducedMotion: 'reduce',
    serviceWorkers: keepsPage ? 'allow' : 'block',
  });
  const page = await context.newPage();
  const faults = [];
  page.on('pageerror', (error) => faults.push(error.message));
  page.on('console', (message) => {
    // A refusal by the engine is an answer (422), though the browser writes it down as an error.
    if (message.type() === 'error' && !message.text().includes('status of 422')) faults.push(message.text());
  });
  await page.goto(address);
  if (who !== null) {
    await page.getByLabel('Name and role').fill(who);
    await page.getByRole('button', { name: 'Start charting' }).click();
  }
  return { page, context, faults };
}

/** What axe finds against WCAG 2.2 AA, target size included. */
export async function violations(page) {
  // The page's content policy refuses foreign scripts; the debugger may still run one.
  await page.evaluate(await readFile(axeSource, 'utf8'));
  return page.evaluate(async () => {
    const result = await globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] });
    return result.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.target.join(' ')).slice(0, 4).join(' | ')}`);
  });
}
