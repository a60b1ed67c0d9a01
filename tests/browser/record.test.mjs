// Between the page and the record: no entry is lost, old news says so, nothing of a person lies open on the device. The server is
// a real one; what stands between loses, cuts and forges.
import assert from 'node:assert/strict';
import { after, afterEach, before, test } from 'node:test';
import { between } from './between.mjs';
import { chartSound, launch, open, serve, until, violations } from './ward.mjs';

let ward, browser, wire, context;
before(async () => {
  ward = await serve(20);
  wire = await between(ward.address);
  browser = await launch();
});
afterEach(async () => {
  wire.now();
  await context?.close();
  context = undefined;
});
after(async () => {
  await browser?.close();
  await wire?.stop();
  await ward?.stop();
});

/** A page behind the wire, with the ward on it. */
async function opened(options = {}) {
  const own = await open(browser, wire.address, { keepsPage: false, ...options });
  context = own.context;
  own.page.setDefaultTimeout(15_000);
  await own.page.locator('main h1').waitFor();
  return own.page;
}
const get = async (path) => (await context.request.get(`${ward.address}/${path}`)).json();
const dwelling = async (nth = 0) => (await get('api/ward')).states.filter((one) => one.stage === 'dwelling' && one.running).at(nth).id;
const go = (page, hash) => page.evaluate((to) => (location.hash = to), `#/${hash}`);
const isEvents = ({ method, path }) => method === 'POST' && path.startsWith('/api/events');
const json = (status, body, headers = {}) => ({ status, headers, body });
/** Sends now, as when the network comes back. */
const sendNow = (page) => page.evaluate(() => dispatchEvent(new Event('online')));

async function chartNormal(page, line) {
  await go(page, `watch/${line}/check`);
  await chartSound(page);
}
const ownLooks = async (line, author) => (await get(`api/lines/${line}`)).events.filter((one) => one.author === author && one.body.kind === 'site_checked').length;

// Two offline checks were lost so: the record failed, the answer named no entry, and the page took both for kept.
const failures = {
  'the record fails, and says so at 422': json(422, { ok: false, errors: [{ path: '/ledger', found: 'a failure', expected: 'a record that can be written' }] }),
  'the record fails, and says so at 500': json(500, { ok: false, errors: [{ path: '/ledger', found: '', expected: '' }] }),
  'a page instead of an answer': json(200, '<!doctype html><title>Guest network</title>', { 'Content-Type': 'text/html' }),
  'nothing at 200': json(200, ''),
  'null at 200': json(200, 'null'),
  'no entry is named': json(200, { ok: true, sequence: 1, written: [], already_there: [], refused: [], said: [] }),
  'other entries are named': json(200, { ok: true, sequence: 1, written: ['0190e0c0-0000-7000-8000-000000000000'], already_there: [], refused: [], said: [] }),
  'the old shape of a refusal': json(422, { ok: false, errors: [{ path: '/0/body', found: '', expected: '' }, { path: '/1/body', found: '', expected: '' }] }),
  'asked to come later': json(503, { ok: false, errors: [] }, { 'Retry-After': '1' }),
  'cut before': 'cut',
  'cut after half of the answer': 'cut answer',
};
test('whatever answers in the server’s place, two looks wait on this device until the record has them, once', async () => {
  const page = await opened({ who: 'L. Ost, nurse' });
  const lines = [await dwelling(0), await dwelling(1)];
  wire.now((request) => (isEvents(request) ? 'cut' : undefined));
  for (const [at, line] of lines.entries()) {
    await chartNormal(page, line);
    await page.getByRole('banner').getByText(new RegExp(`${at + 1} entr(y|ies) on this device only`)).waitFor();
  }
  for (const [what, failure] of Object.entries(failures)) {
    let asked = 0;
    wire.now((request) => (isEvents(request) ? (asked++, failure) : undefined));
    await sendNow(page);
    await until(() => asked > 0, `${what}: asked`, 40_000);
    await page.waitForTimeout(400);
    await page.getByRole('banner').getByText('2 entries on this device only').waitFor();
    assert.equal(await page.getByText('All on the server').count(), 0, what);
  }
  wire.now();
  await sendNow(page);
  await page.getByText('All on the server').waitFor({ timeout: 40_000 });
  for (const line of lines) assert.equal(await ownLooks(line, 'L. Ost, nurse'), 1);
});

test('one entry that the server chokes on holds up none of the others, and is not asked about without end', async () => {
  const page = await opened({ who: 'P. Oison, nurse' });
  const lines = [await dwelling(2), await dwelling(3), await dwelling(4)];
  wire.now((request) => (isEvents(request) ? 'cut' : undefined));
  for (const line of lines) await chartNormal(page, line);
  await page.getByRole('banner').getByText('3 entries on this device only').waitFor();
  let asked = 0;
  wire.now((request) => {
    if (!isEvents(request)) return undefined;
    asked++;
    return String(request.body).includes(lines[0]) ? json(500, 'bad_alloc') : undefined;
  });
  await sendNow(page);
  await page.getByRole('banner').getByText('1 entry on this device only').waitFor({ timeout: 30_000 });
  for (const line of lines.slice(1)) assert.equal(await ownLooks(line, 'P. Oison, nurse'), 1);
  const before = asked;
  await page.waitForTimeout(3_000);
  assert.ok(asked - before < 8, `${asked - before} times in 3 s`);
  wire.now();
  await sendNow(page);
  await page.getByText('All on the server').waitFor({ timeout: 60_000 });
});

test('a page that is closed while it charts has charted', async () => {
  const page = await opened({ who: 'C. Losed, nurse' });
  const line = await dwelling(5);
  wire.now((request) => (isEvents(request) ? new Promise(() => undefined) : undefined)); // no answer ever comes
  await chartNormal(page, line);
  await page.waitForTimeout(500);
  await page.reload();
  await page.getByText('What falls due').waitFor();
  wire.now();
  await until(async () => (await ownLooks(line, 'C. Losed, nurse')) === 1, 'it is in the record', 90_000);
});

test('a record that was set back to an older copy is given again what it had from here, and the page says so', async () => {
  const page = await opened({ who: 'R. Store, nurse' });
  const line = await dwelling(6);
  await chartNormal(page, line);
  await page.getByRole('heading', { name: /^Charted \d\d:\d\d/ }).waitFor();
  await page.getByText('All on the server').waitFor();
  const { events } = await get(`api/lines/${line}`);
  const { id } = events.find((one) => one.author === 'R. Store, nurse');
  let given = 0;
  wire.now((request) => {
    if (request.path.startsWith('/api/ward')) return (body) => JSON.stringify({ ...JSON.parse(body), sequence: 3 });
    if (request.path.startsWith('/api/live')) return 'cut';
    if (!isEvents(request)) return undefined;
    given++;
    assert.ok(String(request.body).includes(id));
    return json(200, { ok: true, sequence: 4, written: [id], already_there: [], refused: [], said: [] });
  });
  wire.cut(); // the page hears nobody, and asks
  await page.getByText(/The record stands further back than this device has seen it/).waitFor({ timeout: 40_000 });
  await page.getByText('1 entry that it had from this device was given to it again.').waitFor({ timeout: 40_000 });
  assert.ok(given >= 1);
});

// ---- Old news ----

const looked = (over) => `event: looked\ndata: ${JSON.stringify({ true_at: new Date().toISOString(), sequence: 0, reachable: true, ...over })}\n\n`;
/** Answers api/live with a stream of its own, which stays open. */
const lives = (request, words) => (request.path.startsWith('/api/live') ? { status: 200, headers: { 'Content-Type': 'text/event-stream' }, body: words, stays: true } : undefined);
const bar = (page) => page.getByRole('region', { name: /What is to be known about what is shown|Lo que conviene saber/ });

async function screensOf() {
  const one = await dwelling(0);
  return ['watch', `watch/${one}`, `watch/${one}/check`, 'plan', 'place', 'infuse', `infuse/${one}`, 'remove', `remove/${one}`, 'learn', 'handover', 'begin', 'entries'];
}

test('a record that cannot be reached: every screen says how old it is, and it is read out once', async () => {
  const page = await opened();
  await page.evaluate(() => {
    globalThis.said = [];
    new MutationObserver((changes) => {
      for (const { target } of changes) {
        const at = (target instanceof Element ? target : target.parentElement)?.closest('[role=status]');
        if (at && /As it stood/.test(at.textContent)) globalThis.said.push(at.textContent.trim());
      }
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
  const since = new Date().toISOString();
  const stale = (body) => JSON.stringify({ ...JSON.parse(body), true_at: since });
  wire.now((request) => (request.path.startsWith('/api/ward') ? stale : lives(request, looked({ true_at: since, reachable: false }))));
  wire.cut();
  await bar(page).getByText(/As it stood \d\d:\d\d, .*; the record cannot be reached\./).waitFor({ timeout: 40_000 });
  for (const hash of await screensOf()) {
    await go(page, hash);
    await page.locator('main :is(h1, h2)').first().waitFor();
    assert.equal(await bar(page).getByText(/the record cannot be reached/).count(), 1, hash);
  }
  assert.deepEqual(await violations(page), []);
  assert.equal(await page.getByText('All on the server').count(), 0);
  assert.equal(await page.evaluate(() => new Set(globalThis.said).size), 1);
  wire.now();
  wire.cut();
  await bar(page).waitFor({ state: 'detached', timeout: 60_000 });
});

for (const [language, says] of [['en', /As it stood .*, 3 min ago\./], ['es', /Así estaba el registro \(.*\), hace 3 min\./]])
  test(`a board that is three minutes old says so (${language})`, async () => {
    wire.now((request) => {
      if (request.path.startsWith('/api/ward')) return (body) => JSON.stringify({ ...JSON.parse(body), true_at: new Date(Date.now() - 190_000).toISOString() });
      return undefined;
    });
    const own = await browser.newContext({ locale: language, timezoneId: 'Europe/Dublin' });
    context = own;
    const page = await own.newPage();
    await page.goto(wire.address);
    await page.getByRole('textbox').first().fill('O. Ld, nurse');
    await page.getByRole('textbox').first().press('Enter');
    await page.getByText(says).first().waitFor({ timeout: 15_000 });
  });

test('the network off: the age stands at once, and after a reload without a network', async () => {
  const page = await opened({ keepsPage: true });
  await page.getByText('Next visit').waitFor();
  await until(() => page.evaluate(async () => (await caches.keys()).length > 0 && navigator.serviceWorker.controller !== null), 'the page is kept');
  await page.reload();
  await page.getByText('Next visit').waitFor();
  await page.waitForTimeout(1_000);
  await context.setOffline(true);
  wire.cut();
  await bar(page).getByText(/the record cannot be reached/).waitFor({ timeout: 40_000 });
  await page.reload();
  await bar(page).getByText(/As it stood .*; the record cannot be reached/).waitFor();
  await page.getByRole('region', { name: 'Lines of the ward on one time axis' }).getByRole('link').first().waitFor();
});

// ---- What else comes with the lines ----

test('what is not proven of the record, and what the server says of an entry, stand until they are put away', async () => {
  const page = await opened({ who: 'S. Aid, nurse' });
  wire.now((request) => {
    if (request.path.startsWith('/api/ward')) return (body) => JSON.stringify({ ...JSON.parse(body), proof: 'The record is shorter than what was signed of it.' });
    if (isEvents(request))
      return (body) => {
        const answer = JSON.parse(body);
        return JSON.stringify({ ...answer, said: answer.written.map((id) => ({ id, path: '/body/patient/family', text: 'This name looks like another on the ward.' })) });
      };
    return undefined;
  });
  await chartNormal(page, await dwelling(7));
  await bar(page).getByText('This name looks like another on the ward.').waitFor();
  await bar(page).getByText('The record is shorter than what was signed of it.').waitFor();
  await go(page, 'learn');
  await bar(page).getByText('This name looks like another on the ward.').waitFor();
  await page.getByRole('button', { name: 'Seen, put away' }).click();
  await bar(page).getByText('This name looks like another on the ward.').waitFor({ state: 'detached' });
  await bar(page).getByText('The record is shorter than what was signed of it.').waitFor();
});

test('many lines come in pages, and one of no ward is marked', async () => {
  let pages = 0;
  wire.now((request) => {
    if (!request.path.startsWith('/api/ward')) return undefined;
    return (body) => {
      const board = JSON.parse(body);
      pages++;
      if (request.path.includes('after=')) return JSON.stringify(board);
      const half = Math.ceil(board.states.length / 2);
      board.states = board.states.sort((a, b) => (a.id < b.id ? -1 : 1));
      board.states[0].place.unit = ' ';
      const states = board.states.slice(0, half);
      const here = new Set(states.map(({ id }) => id));
      return JSON.stringify({ ...board, states, due: board.due.filter((one) => here.has(one.line)), next: states.at(-1).id });
    };
  });
  const page = await opened();
  const { states } = await get('api/ward');
  await page.getByText(new RegExp(`^${states.filter((one) => one.stage !== 'closed').length} open lines`)).waitFor();
  assert.ok(pages >= 2);
  const unnamed = states.sort((a, b) => (a.id < b.id ? -1 : 1))[0];
  await page.getByLabel('Find a patient').fill(unnamed.patient.number);
  await page.getByText(/no ward named/).first().waitFor();
});

test('an entry that could not be read heads its line and can be taken back; older ones are fetched when asked for', async () => {
  const page = await opened({ who: 'U. Nread, nurse' });
  const line = await dwelling(3);
  const { events } = await get(`api/lines/${line}`);
  const unread = '0190e0c0-0000-7000-8000-00000000000a';
  let takenBack;
  wire.now((request) => {
    if (request.path.includes(`/lines/${line}/events`)) return json(200, { events: events.slice(0, 2).map((one, at) => ({ ...one, receipt: { sequence: at + 1 } })) });
    if (request.path === `/api/lines/${line}`)
      return (body) => {
        const { state, ...rest } = JSON.parse(body);
        const old = new Set(events.slice(0, 2).map((one) => one.id));
        state.history = state.history.filter((one) => !old.has(one.id));
        return JSON.stringify({ ...rest, state, events: events.slice(2), earlier: 2, set_aside: takenBack ? [] : [{ id: unread, sequence: 9, reason: 'of a kind that is not known here' }] });
      };
    if (!isEvents(request)) return undefined;
    [takenBack] = JSON.parse(request.body);
    return json(200, { ok: true, sequence: 99_999, written: [takenBack.id], already_there: [], refused: [], said: [] });
  });
  await go(page, `watch/${line}`);
  await page.locator('main').getByText('1 entry of this line could not be read; nothing of it counts here.').waitFor();
  await page.getByText('2 older entries are not shown here.').waitFor();
  await page.getByRole('button', { name: 'Fetch them' }).click();
  await page.getByText('2 older entries are not shown here.').waitFor({ state: 'detached' });
  assert.equal(await page.locator('section[aria-labelledby=charted] li').count(), events.length);
  await page.getByRole('button', { name: /^Take it back: of a kind/ }).click();
  await page.getByLabel('Why it is taken back').fill('  from another program  ');
  await page.getByRole('button', { name: 'Take it back', exact: true }).click();
  await page.locator('main').getByText('1 entry of this line could not be read').waitFor({ state: 'detached' });
  assert.deepEqual([takenBack.body.kind, takenBack.corrects, takenBack.body.reason], ['retracted', unread, 'from another program']);
});

// ---- Private on the device ----

/** All that lies on this device, as a thief of its files would read it. */
const lying = (page) =>
  page.evaluate(async () => {
    const done = (request) => new Promise((good, bad) => ((request.onsuccess = () => good(request.result)), (request.onerror = () => bad(request.error))));
    const seen = [JSON.stringify({ ...localStorage }), JSON.stringify({ ...sessionStorage }), location.href, document.cookie, JSON.stringify(history.state)];
    const decoder = new TextDecoder();
    const open = (value) => {
      if (value instanceof ArrayBuffer || ArrayBuffer.isView(value)) seen.push(decoder.decode(value));
      else if (typeof value === 'object' && value !== null && !(value instanceof CryptoKey)) Object.entries(value).forEach(([key, part]) => (seen.push(key), open(part)));
      else seen.push(String(value));
    };
    for (const { name } of await indexedDB.databases()) {
      const database = await done(indexedDB.open(name));
      for (const store of database.objectStoreNames) {
        const rows = database.transaction(store).objectStore(store);
        (await done(rows.getAllKeys())).forEach(open);
        (await done(database.transaction(store).objectStore(store).getAll())).forEach(open);
      }
      database.close();
    }
    for (const name of await caches.keys())
      for (const request of await (await caches.open(name)).keys()) {
        seen.push(request.url);
        if (request.url.includes('/api/')) seen.push(`kept an answer: ${request.url}`);
      }
    return seen.join('\n');
  });

test('once it says who charts, a page that is loaded anew at once says it too', async () => {
  const context = await browser.newContext();
  const page = await context.newPage();
  // A device that is slow to seal: what is shown before it is kept would be lost.
  await page.addInitScript(() => {
    const encrypt = crypto.subtle.encrypt.bind(crypto.subtle);
    crypto.subtle.encrypt = async (...given) => {
      await new Promise((done) => setTimeout(done, 700));
      return encrypt(...given);
    };
  });
  await page.goto(ward.address);
  await page.getByLabel('Name and role').fill('T. Second, nurse');
  await page.getByRole('button', { name: 'Start charting' }).click();
  await page.getByText('Charting: T. Second, nurse').waitFor();
  await page.reload();
  await page.getByText(/^Charting: T\. Second, nurse$|^Nobody is charting$/).or(page.getByLabel('Name and role')).first().waitFor();
  assert.equal(await page.getByLabel('Name and role').count(), 0, 'who charts is asked for again');
  await page.getByText('Charting: T. Second, nurse').waitFor();
  await context.close();
});

test('of a whole job nothing of a person lies open on the device, and what lay open before is taken over', async () => {
  const page = await opened({ who: 'N. Ursename, nurse', keepsPage: true });
  const secrets = /Quillfeather|Zephyrine|MRN-90817|Ursename|wordsOfMine|kept an answer/i;
  const clean = async (when) => {
    await page.waitForTimeout(500);
    assert.deepEqual((await lying(page)).match(secrets), null, when);
  };
  await go(page, 'begin');
  for (const [label, words] of [['Family name', 'Quillfeather'], ['Given name', 'Zephyrine'], ['Record number', 'MRN-90817'], ['Bed', '41']]) await page.getByLabel(label, { exact: true }).fill(words);
  await page.getByLabel('Allergies, with commas between').fill('wordsOfMine');
  await clean('while a patient is typed');
  await page.getByRole('button', { name: 'Begin', exact: true }).click();
  await page.getByRole('link', { name: 'To the plan' }).waitFor();
  const planned = (await get('api/ward')).states.find((one) => one.patient.family === 'Quillfeather').id;
  await go(page, `place/${planned}`);
  await page.getByText(/Two identifiers agree/).click();
  for (let step = 0; step < 3; step++) await page.getByRole('button', { name: 'Done, next' }).click();
  await page.getByLabel('Earlier lines, and how they ended').fill('wordsOfMine');
  await clean('while a line is placed');
  await page.reload();
  await page.locator('main').getByText(/^Brought back: typed at/).waitFor();
  assert.equal(await page.getByLabel('Earlier lines, and how they ended').inputValue(), 'wordsOfMine');
  // What lay open from an earlier version of the page.
  const line = await dwelling(1);
  await page.evaluate((of) => {
    localStorage.setItem(`dwell.removing.${of}`, JSON.stringify({ at: 0, ground: 'wordsOfMine', reason: '' }));
    localStorage.setItem('dwell.practice.run', JSON.stringify({ learner: 'wordsOfMine' }));
    sessionStorage.setItem('dwell.charting', 'N. Ursename, nurse');
  }, line);
  assert.match(await lying(page), secrets, 'what lies open is found');
  await page.reload();
  await go(page, `remove/${line}`);
  await page.getByLabel(/order, or your reason/).waitFor();
  await until(async () => (await page.getByLabel(/order, or your reason/).inputValue()) === 'wordsOfMine', 'the old draft is taken over');
  assert.equal(await page.evaluate(() => sessionStorage.getItem('dwell.charting')), null);
  await page.getByText('Charting: N. Ursename, nurse').waitFor();
  await clean('after an old draft was taken over');
  await go(page, `watch/${line}`);
  await page.getByText('Chart something else').click();
  await page.getByRole('link', { name: 'Note', exact: true }).click();
  await page.getByLabel('Note', { exact: true }).fill('wordsOfMine e\u0301');
  await clean('while a note is typed');
  await page.getByRole('button', { name: 'Chart it' }).click();
  await page.locator('section[aria-labelledby=charted]').getByText('“wordsOfMine \u00e9”').waitFor(); // quoted, and written in one way
  await clean('after it was charted');
});

test('a picture that was looked at stays on no disk', async () => {
  const page = await opened({ keepsPage: true });
  const line = await dwelling(2);
  await go(page, `watch/${line}/check`);
  await page.getByRole('button', { name: /^Sizes/ }).click();
  const picture = await page.screenshot({ clip: { x: 0, y: 0, width: 64, height: 48 } });
  await page.locator('input[type=file]').setInputFiles({ name: 'site.png', mimeType: 'image/png', buffer: picture });
  await page.getByText('Photograph charted.').waitFor();
  await page.waitForFunction(() => [...document.querySelectorAll('main img')].some((one) => one.naturalWidth === 64 && one.src.startsWith('blob:')));
  const left = await page.evaluate(async () => {
    const kept = [];
    for (const name of await caches.keys()) for (const request of await (await caches.open(name)).keys()) if (request.url.includes('photos')) kept.push(request.url);
    const database = await new Promise((good) => (indexedDB.open('dwell-pictures').onsuccess = (event) => good(event.target.result)));
    return [kept, await new Promise((good) => (database.transaction('parts').objectStore('parts').count().onsuccess = (event) => good(event.target.result)))];
  });
  assert.deepEqual(left, [[], 0]);
});
