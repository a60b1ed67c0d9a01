// Opens the gallery in Chromium: takes pictures in light and dark at three widths, and runs axe-core (WCAG 2.2 A and AA,
// with target size) on each. Usage: node tests/gallery_check.mjs FOLDER [--pictures]
// Build first: DWELL_WEB_OUT=FOLDER vite build --mode gallery. Exits 1 when axe finds a violation.
import { createRequire } from 'node:module';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { chromium } from 'playwright-core';
import { preview } from 'vite';

const folder = resolve(process.argv[2] ?? 'dist');
const pictures = process.argv.includes('--pictures');
const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22a', 'wcag22aa', 'best-practice'];
const sizes = { phone: [390, 844], tablet: [820, 1180], desktop: [1440, 900] };

const server = await preview({ logLevel: 'error', build: { outDir: folder }, preview: { port: 0, host: '127.0.0.1' } });
const address = server.resolvedUrls?.local[0];
const userData = await mkdtemp(join(tmpdir(), 'dwell-chromium-'));
const browser = await chromium.launchPersistentContext(userData, {
  executablePath: '/usr/bin/chromium',
  headless: true,
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'],
});

let violations = 0;
try {
  for (const [size, [width, height]] of Object.entries(sizes))
    for (const scheme of ['light', 'dark']) {
      const page = await browser.newPage();
      const faults = [];
      page.on('pageerror', (error) => faults.push(String(error)));
      page.on('console', (message) => message.type() === 'error' && faults.push(message.text()));
      await page.setViewportSize({ width, height });
      await page.emulateMedia({ colorScheme: scheme });
      await page.goto(`${address}#/gallery`);
      await page.getByRole('heading', { level: 1 }).waitFor();
      await page.waitForTimeout(300);
      const sideways = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      if (sideways > 0) faults.push(`the page is ${sideways} px too wide`);
      if (pictures) await page.screenshot({ path: join(folder, `${size}-${scheme}.png`), fullPage: true });
      await page.evaluate(axe);
      const found = await page.evaluate((only) => globalThis.axe.run({ runOnly: only }), tags);
      for (const one of found.violations) {
        faults.push(`${one.id} (${one.impact}): ${one.help}`);
        for (const node of one.nodes.slice(0, 4)) faults.push(`    ${node.target.join(' ')}  ${node.any[0]?.message ?? node.failureSummary}`);
      }
      violations += faults.length;
      console.log(`${size} ${scheme}: ${faults.length === 0 ? `no violation in ${found.passes.length} rules` : `\n  ${faults.join('\n  ')}`}`);
      await page.close();
    }
} finally {
  await browser.close();
  await server.close();
  await rm(userData, { recursive: true, force: true });
}
process.exitCode = violations === 0 ? 0 : 1;
