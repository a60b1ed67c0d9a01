// A server that people sign in to: the first account, a nurse's, charting under her name, the lock and the PIN, signing out.
import assert from 'node:assert/strict';
import { execFileSync, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, test } from 'node:test';
import { launch, violations } from './ward.mjs';

const binary = process.env.DWELL_BINARY ?? join(import.meta.dirname, '..', '..', 'build', 'release', 'dwell');
const password = 'three blue herons at dawn';
const pin = '481516';

const box = await mkdtemp(join(tmpdir(), 'dwell-door-'));
const [certificate, key, ledger] = ['tls.pem', 'tls.key', 'ward.sqlite'].map((name) => join(box, name));
execFileSync('openssl', ['req', '-x509', '-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:P-256', '-nodes', '-days', '2', '-subj', '/CN=ward.example',
  '-addext', 'subjectAltName=DNS:localhost,IP:127.0.0.1', '-keyout', key, '-out', certificate], { stdio: 'ignore' });
const server = spawn(binary, ['--ledger', ledger, 'serve', '--unit', 'North', '--port', '0', '--certificate', certificate, '--key', key], { stdio: ['ignore', 'pipe', 'inherit'] });
const link = await new Promise((found, failed) => {
  let said = '';
  server.stdout.on('data', (piece) => {
    said += piece;
    const match = said.match(/https:\/\/localhost:\d+\/#\/invited\/[0-9a-f]{64}/);
    if (match) found(match[0]);
  });
  server.on('exit', () => failed(new Error(`the server ended: ${said}`)));
});
const address = new URL(link).origin;
const browser = await launch();
after(async () => {
  await browser.close();
  const ended = new Promise((done) => server.on('exit', done));
  server.kill('SIGTERM');
  await ended;
  await rm(box, { recursive: true, force: true });
});

async function device(language = 'en') {
  const context = await browser.newContext({ ignoreHTTPSErrors: true, serviceWorkers: 'block', locale: language, viewport: { width: 1440, height: 900 }, reducedMotion: 'reduce' });
  return context.newPage();
}
const words = {
  en: { name: 'Sign-in name', password: 'Password', go: 'Sign in', pin: 'PIN', on: 'Go on', out: 'Sign out', lock: 'Lock now', save: 'Save' },
};
async function signIn(page, name) {
  await page.getByLabel(words.en.name).fill(name);
  await page.getByLabel(words.en.password, { exact: true }).fill(password);
  await page.keyboard.press('Enter');
}
async function accept(page, to) {
  await page.goto(to);
  await page.getByLabel(/^Password at least/).fill(password);
  await page.getByLabel('Password once more').fill(password);
  await page.getByLabel(/^PIN/).fill(pin);
}
let nurseLink = '';

test('the first link makes the administrator, who sees accounts and no patient', async () => {
  const page = await device();
  await accept(page, link);
  await page.getByLabel(/^Name, as/).fill('A. Ngo');
  await page.getByLabel('Initials').fill('AN');
  await page.getByLabel(words.en.name).fill('admin');
  await page.getByRole('button', { name: words.en.save }).click();
  await page.getByRole('link', { name: 'Go to sign-in' }).click();
  await signIn(page, 'admin');
  await page.getByRole('heading', { name: 'Accounts' }).waitFor();
  assert.equal(await page.getByRole('link', { name: 'Watch' }).count(), 0);
  await page.getByRole('button', { name: 'New account' }).click();
  await page.getByLabel('Name', { exact: true }).fill('R. Okoro');
  await page.getByLabel('Initials').fill('RO');
  await page.getByLabel(words.en.name).fill('rokoro');
  await page.getByLabel(/^Wards/).fill('North');
  await page.getByRole('button', { name: words.en.save }).click();
  nurseLink = (await page.getByRole('status').locator('code').textContent()) ?? '';
  assert.match(nurseLink, /#\/invited\/[0-9a-f]{64}$/);
});

test('a link counts once, and a password that is tried first is not taken', async () => {
  const page = await device();
  await accept(page, nurseLink);
  await page.getByLabel(/^Password at least/).fill('passwordpassword');
  await page.getByLabel('Password once more').fill('passwordpassword');
  await page.getByRole('button', { name: words.en.save }).click();
  await page.getByRole('alert').getByText('Longer, or not so easily guessed').waitFor();
  await page.getByLabel(/^Password at least/).fill(password);
  await page.getByLabel('Password once more').fill(password);
  await page.getByRole('button', { name: words.en.save }).click();
  await page.getByText('Saved. Now sign in.').waitFor();
  await page.goto('about:blank');
  await page.goto(nurseLink);
  await page.getByText('This link was used already').waitFor();
});

test('a nurse signs in by keyboard alone, is locked, goes on with the PIN, and signs out', async () => {
  const page = await device();
  await page.goto(address);
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  assert.deepEqual(await violations(page), []);
  await page.keyboard.type('rokoro');
  await page.keyboard.press('Tab');
  await page.keyboard.type('not this one at all');
  await page.keyboard.press('Enter');
  await page.getByText('No account has this name and this password.').waitFor();
  await signIn(page, 'rokoro');
  await page.getByText('Charting: R. Okoro').first().waitFor();
  await page.goto(`${address}/#/settings`);
  await page.getByRole('button', { name: words.en.lock }).click();
  await page.getByRole('heading', { name: 'Locked' }).waitFor();
  assert.equal(await page.getByText('Charting: R. Okoro').isVisible(), false);
  await page.keyboard.type('000001');
  await page.keyboard.press('Enter');
  await page.getByText('That is not the PIN.').waitFor();
  await page.keyboard.type(pin);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: words.en.lock }).waitFor();
  await page.getByRole('button', { name: words.en.out }).first().click();
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  await page.reload();
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
});

test('in Spanish it says the same', async () => {
  const page = await device('es');
  await page.goto(address);
  await page.getByRole('heading', { name: 'Entrar' }).waitFor();
  await page.getByLabel('Nombre de acceso').fill('rokoro');
  await page.getByLabel('Contraseña').fill(password);
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Salir' }).first().waitFor();
});

test('a nurse who is called to another ward opens it herself, with a reason', async () => {
  const office = await device();
  await office.goto(address);
  await signIn(office, 'admin');
  await office.getByRole('button', { name: 'New account' }).click();
  await office.getByLabel('Name', { exact: true }).fill('M. Hale');
  await office.getByLabel('Initials').fill('MH');
  await office.getByLabel(words.en.name).fill('mhale');
  await office.getByLabel(/^Wards/).fill('South');
  await office.getByRole('button', { name: words.en.save }).click();
  await office.getByRole('status').locator('code').waitFor();

  const page = await device();
  await page.goto(address);
  await signIn(page, 'rokoro');
  await page.getByText('Charting: R. Okoro').first().waitFor();
  await page.goto(`${address}/#/settings`);
  await page.getByRole('button', { name: 'Open another ward in an emergency' }).click();
  await page.getByLabel('Ward', { exact: true }).selectOption('South');
  await page.getByLabel(/^Why/).fill('called to help at a bed');
  assert.deepEqual(await violations(page), []);
  await page.getByRole('button', { name: 'Open it' }).click();
  await page.getByText(/^South is open to you until \d\d:\d\d\.$/).waitFor();
  assert.equal(await page.getByRole('button', { name: 'Open another ward in an emergency' }).count(), 0, 'there is no third ward');
});

// Chromium's own virtual authenticator stands for the nurse's phone.
test('a nurse makes a passkey, comes in by it, and takes it away again', async () => {
  const page = await device();
  const protocol = await page.context().newCDPSession(page);
  await protocol.send('WebAuthn.enable');
  const { authenticatorId } = await protocol.send('WebAuthn.addVirtualAuthenticator', {
    options: { protocol: 'ctap2', transport: 'internal', hasResidentKey: true, hasUserVerification: true, isUserVerified: true, automaticPresenceSimulation: true },
  });
  await page.goto(address);
  await page.getByRole('button', { name: 'With a passkey' }).click();
  await page.getByText('No passkey was used').waitFor();
  await signIn(page, 'rokoro');
  await page.getByText('Charting: R. Okoro').first().waitFor();
  await page.goto(`${address}/#/settings`);
  await page.getByRole('button', { name: 'New passkey' }).click();
  await page.getByLabel('What you call this device').fill('phone');
  await page.getByLabel('Your password once more').fill('not this one at all');
  await page.getByRole('button', { name: 'Make it' }).click();
  await page.getByText('That is not your password.').waitFor();
  await page.getByLabel('Your password once more').fill(password);
  await page.getByRole('button', { name: 'Make it' }).click();
  await page.getByRole('button', { name: 'Take away phone' }).waitFor();
  assert.deepEqual(await violations(page), []);
  const { credentials } = await protocol.send('WebAuthn.getCredentials', { authenticatorId });
  assert.equal(credentials.length, 1);

  await page.getByRole('button', { name: words.en.out }).first().click();
  await page.getByRole('button', { name: 'With a passkey' }).click();
  await page.getByText('Charting: R. Okoro').first().waitFor();

  // The token was found by somebody whom it does not know.
  await page.getByRole('button', { name: words.en.out }).first().click();
  await page.getByRole('heading', { name: 'Sign in' }).waitFor();
  await protocol.send('WebAuthn.setUserVerified', { authenticatorId, isUserVerified: false });
  await page.getByRole('button', { name: 'With a passkey' }).click();
  await page.getByText('No passkey was used').waitFor({ timeout: 60_000 });
  await protocol.send('WebAuthn.setUserVerified', { authenticatorId, isUserVerified: true });

  await page.getByRole('button', { name: 'With a passkey' }).click();
  await page.getByText('Charting: R. Okoro').first().waitFor();
  await page.goto(`${address}/#/settings`);
  await page.getByRole('button', { name: 'Take away phone' }).click();
  await page.getByRole('button', { name: 'Take away phone' }).waitFor({ state: 'detached' });
  await page.getByRole('button', { name: words.en.out }).first().click();
  await page.getByRole('button', { name: 'With a passkey' }).click();
  await page.getByText('No passkey was used').waitFor();
});
