// Three wards at once: one on SQLite with one server; one on PostgreSQL with two servers, whose database crashes; one on a
// pair of databases with two servers, of which the first database ends for good. Honest devices chart through HTTP and keep
// what was not acknowledged, as the page does. Hostile clients send what no page sends. In turns a server is killed, a
// database ends, a server's clock jumps, the disk fills up. At the end everything is mended, the devices send what they
// still have, and all must agree: the record is proven, the board is what the entries say, and every entry that any device
// ever made is in the record or was refused by name.
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdirSync, openSync, writeSync, closeSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';

const [seconds, box] = [Number(process.argv[2]), process.argv[3]];
const binary = process.env.DWELL_BINARY;
const smallDisk = process.env.DWELL_SOAK_SMALL_DISK === '1';
const ends = Date.now() + seconds * 1000;
const pause = (milliseconds) => new Promise((done) => setTimeout(done, milliseconds));
/** A message by its id; prose as it is. */
const textOf = (said) => (typeof said === 'string' ? said : said.id);
const below = (limit) => Math.floor(Math.random() * limit);
const counts = { made: 0, kept: 0, refused: 0, unanswered: 0, hostile: 0, kills: 0, stops: 0, crashes: 0, failovers: 0, jumps: 0, full: 0, compared: 0 };

let number = 0;
let failures = 0;
function check(what, fine, why = '') {
  number++;
  if (fine) console.log(`ok ${number} - ${what}`);
  else {
    failures++;
    console.log(`not ok ${number} - ${what}${why === '' ? '' : `\n# ${String(why).slice(0, 1500)}`}`);
  }
}

/** A UUID of version 7 (RFC 9562): the moment, then chance. */
function newId(at = Date.now()) {
  const hex = at.toString(16).padStart(12, '0') + '7' + randomBytes(2).toString('hex').slice(1) + '8' + randomBytes(8).toString('hex').slice(1);
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, '$1-$2-$3-$4-$5');
}

// ---- servers ----

const fakeTime = (() => {
  try {
    return execFileSync('faketime', ['-m', '-f', '+0', 'printenv', 'LD_PRELOAD'], { encoding: 'utf8' }).trim();
  } catch {
    return '';
  }
})();

class Server {
  constructor(ward, name) {
    this.ward = ward;
    this.home = join(box, name);
    mkdirSync(this.home, { recursive: true });
    this.address = '';
    this.said = '';
  }

  /** `clock`: how far its clock is off, such as '+3h'. */
  async start(clock = '') {
    const off = clock === '' || fakeTime === '' ? {} : { LD_PRELOAD: fakeTime, FAKETIME: clock, FAKETIME_DONT_FAKE_MONOTONIC: '1' };
    this.process = spawn(binary, ['--ledger', this.ward.ledger, 'serve', '--port', '0', '--unit', 'North'], {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: { ...process.env, XDG_DATA_HOME: this.home, TZ: 'Etc/UTC', ...off },
    });
    this.process.stderr.on('data', (piece) => { this.said = (this.said + piece).slice(-4000); });
    this.address = await new Promise((found) => {
      let said = '';
      this.process.stdout.on('data', (piece) => {
        said += piece;
        const match = /http:\/\/127\.0\.0\.1:\d+/.exec(said);
        if (match) found(match[0]);
      });
      this.process.on('exit', () => found(''));
    });
    return this.address !== '';
  }

  /** Until it is up, or for half a minute: a database that recovers, a disk that is full. */
  async startAtLast(clock = '') {
    for (let attempt = 0; attempt < 30; attempt++) {
      if (await this.start(clock)) return true;
      await pause(1000);
    }
    return false;
  }

  async end(signal) {
    this.address = '';
    if (this.process === undefined || this.process.exitCode !== null || this.process.signalCode !== null) return;
    const ended = new Promise((done) => this.process.on('exit', done));
    this.process.kill(signal);
    await ended;
  }
}

class Ward {
  constructor(name, ledger, servers) {
    this.name = name;
    this.ledger = ledger;
    this.servers = Array.from({ length: servers }, (_, i) => new Server(this, `${name.replaceAll(' ', '-')}-${i}`));
    this.devices = Array.from({ length: 4 }, () => new Device(this));
    this.wrong = [];
  }
  anyAddress() {
    const up = this.servers.filter((one) => one.address !== '');
    return up.length === 0 ? '' : up[below(up.length)].address;
  }
  dwell(...args) {
    const home = this.servers[0].home;
    return spawnSync(binary, ['--ledger', this.ledger, ...args], { encoding: 'utf8', env: { ...process.env, XDG_DATA_HOME: home } });
  }
}

// ---- honest devices ----

class Device {
  constructor(ward) {
    this.ward = ward;
    this.outbox = new Map(); // id → { event, status, errors }
    this.lines = [];
    this.off = 0;
  }

  chart() {
    const at = new Date(Date.now() + this.off);
    const opens = this.lines.length < 8 && (this.lines.length === 0 || below(8) === 0);
    if (opens) this.lines.push(newId());
    const line = opens ? this.lines.at(-1) : this.lines[below(this.lines.length)];
    const patient = { number: '4711', family: 'LINDQUIST', given: 'Ada', sex: 'unknown', allergies: [], allergies_known: false, restrictions: [] };
    const bodies = [{ kind: 'noted', text: 'slept well' }, { kind: 'assigned', nurse: 'M. Koller' }, { kind: 'moved', place: { facility: '', unit: 'North', bed: String(1 + below(30)) } }];
    const body = opens ? { kind: 'opened', patient, place: { facility: '', unit: 'North', bed: String(1 + below(30)) } } : bodies[below(bodies.length)];
    const event = { id: newId(at.getTime()), line, occurred_at: at.toISOString(), recorded_at: at.toISOString(), author: 'M. Koller', device: 'soak', schema: 1, body };
    this.outbox.set(event.id, { event, status: 'waiting', errors: [] });
    counts.made++;
  }

  /** Sends what waits. Forgets only what is named. */
  async flush() {
    const batch = [...this.outbox.values()].filter((one) => one.status === 'waiting').slice(0, 50).map((one) => one.event);
    const address = this.ward.anyAddress();
    if (batch.length === 0 || address === '') return;
    let answer;
    try {
      const response = await fetch(`${address}/api/events`, {
        method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(batch), signal: AbortSignal.timeout(8000),
      });
      answer = await response.json();
    } catch {
      counts.unanswered++;
      return;
    }
    const settle = (id, status, errors = []) => {
      const entry = this.outbox.get(id);
      if (entry?.status !== 'waiting') return;
      Object.assign(entry, { status, errors });
      counts[status]++;
    };
    for (const id of [...(answer.written ?? []), ...(answer.already_there ?? [])]) settle(id, 'kept');
    for (const one of answer.refused ?? []) settle(one.id, 'refused', one.errors);
    for (const error of answer.errors ?? []) {
      const place = /^\/(\d+)\//.exec(error.path)?.[1];
      if (place !== undefined && batch[Number(place)] !== undefined) settle(batch[Number(place)].id, 'refused', [error]);
    }
  }

  async work() {
    while (Date.now() < ends) {
      if (below(3) > 0) this.chart();
      if (below(400) === 0) this.off = (below(40) - 20) * 3_600_000;
      if (below(20) === 0) this.off = 0;
      await this.flush();
      await pause(20 + below(120));
    }
  }
}

// ---- hostile clients ----

/** Half a request, or one that comes byte by byte, and then nothing. */
function half(address, bytes, gap) {
  return new Promise((done) => {
    const socket = connect(Number(new URL(address).port), '127.0.0.1');
    socket.on('error', () => done());
    socket.on('close', () => done());
    socket.on('connect', async () => {
      for (const byte of bytes) {
        socket.write(byte);
        await pause(gap);
      }
      socket.destroy();
      done();
    });
  });
}

const attacks = [
  (at, ask) => ask('/api/events', 'x'.repeat(3_000_000)),
  (at, ask) => ask('/api/events', '['.repeat(100_000)),
  (at, ask) => ask('/api/events', JSON.stringify([{ id: "'; DROP TABLE event; --", line: '', body: { kind: 'noted' } }])),
  (at, ask) => ask('/api/events', JSON.stringify([{ id: newId(), line: newId(), occurred_at: '9999-12-31T00:00:00Z', recorded_at: 'never', author: '\u0000', device: '', schema: 99, body: { kind: 'none' } }])),
  // An id that is there, with another content.
  (at, ask, ward) => {
    const known = [...ward.devices[0].outbox.values()].find((one) => one.status === 'kept');
    return known === undefined ? null : ask('/api/events', JSON.stringify([{ ...known.event, author: 'Somebody Else' }]));
  },
  (at, ask) => ask('/api/events', '[]', { Origin: 'http://elsewhere.example' }),
  (at, ask) => ask('/api/events', '[]', { 'Content-Type': 'text/plain' }),
  (at, ask) => Promise.all(Array.from({ length: 30 }, () => ask('/api/engine/dosing.rate', '{"volume":"1 L","time":"8 h"}'))),
  (at, ask) => ask('/api/policy', '{"policy":{}}'),
  (at) => half(at, ['POST /api/events HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1000\r\n\r\n', '[{'], 200),
  (at) => half(at, [...'GET /api/ward HTTP/1.1\r\nHost'], 30),
  (at) => half(at, ['\u0000\u0001\u0002 nonsense\r\n\r\n'], 10),
  (at) => Promise.all(Array.from({ length: 40 }, () => half(at, ['GET /api/live HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n'], 300))),
];

async function besiege(ward) {
  while (Date.now() < ends) {
    const address = ward.anyAddress();
    if (address !== '') {
      const ask = async (path, body, headers = {}) => {
        const response = await fetch(address + path, { method: 'POST', headers: { 'Content-Type': 'application/json', ...headers }, body, signal: AbortSignal.timeout(8000) });
        await response.text();
        const isOwnEngine = path.startsWith('/api/engine');
        if (response.status === 500 || (!isOwnEngine && body !== '[]' && response.status < 300)) ward.wrong.push(`${path} ${response.status}`);
      };
      const attack = attacks[below(attacks.length)];
      counts.hostile++;
      await Promise.resolve(attack(address, ask, ward)).catch(() => undefined);
    }
    await pause(100 + below(300));
  }
}

// ---- what goes wrong ----

async function restart(server, signal) {
  await server.end(signal);
  counts[signal === 'SIGKILL' ? 'kills' : 'stops']++;
  const jumps = fakeTime !== '' && below(3) === 0;
  if (jumps) counts.jumps++;
  await server.startAtLast(jumps ? `${below(2) === 0 ? '+' : '-'}${1 + below(9)}h` : '');
}

/** Fills the small disk for a moment. */
async function fillDisk() {
  counts.full++;
  const filler = join(box, 'small', 'filler');
  try {
    const file = openSync(filler, 'w');
    try {
      for (let i = 0; i < 10_000; i++) writeSync(file, Buffer.alloc(1 << 16));
    } catch { /* It is full. */ }
    closeSync(file);
  } catch { /* Not even a name has room. */ }
  await pause(1500);
  rmSync(filler, { force: true });
}

async function disturb(wards) {
  const [sqlite, crashing, pair] = wards;
  let failedOver = false;
  while (Date.now() < ends) {
    await pause(700 + below(1500));
    if (Date.now() >= ends) return;
    const ward = wards[below(wards.length)];
    const turn = below(6);
    if (turn <= 2) await restart(ward.servers[below(ward.servers.length)], below(3) === 0 ? 'SIGTERM' : 'SIGKILL');
    else if (turn === 3 && smallDisk) await fillDisk();
    else if (turn === 4) {
      counts.crashes++;
      spawnSync(process.env.DWELL_TEST_POSTGRESQL_CRASH);
    } else if (turn === 5 && !failedOver && Date.now() > ends - seconds * 500) {
      failedOver = true;
      counts.failovers++;
      spawnSync(process.env.DWELL_TEST_POSTGRESQL_FAIL_OVER);
    }
  }
  if (!failedOver && pair !== undefined && crashing !== undefined && sqlite !== undefined) {
    counts.failovers++;
    spawnSync(process.env.DWELL_TEST_POSTGRESQL_FAIL_OVER);
  }
}

// ---- agreement ----

/** Every open line as a server shows it, page by page. */
async function states(server) {
  const all = [];
  for (let after = '', more = true; more; ) {
    const answer = await (await fetch(`${server.address}/api/ward${after === '' ? '' : `?after=${encodeURIComponent(after)}`}`)).json();
    all.push(...answer.states);
    more = answer.next !== undefined;
    after = answer.next ?? '';
  }
  return JSON.stringify(all);
}

async function agree(ward) {
  for (const server of ward.servers) await server.end('SIGTERM');
  for (const server of ward.servers) check(`${ward.name}: a server starts on what is left`, await server.startAtLast(), server.said);
  for (const device of ward.devices) device.off = 0;
  const waits = () => ward.devices.some((device) => [...device.outbox.values()].some((one) => one.status === 'waiting'));
  for (let round = 0; round < 400 && waits(); round++) for (const device of ward.devices) await device.flush();
  check(`${ward.name}: nothing waits on a device any more`, !waits());
  check(`${ward.name}: no hostile request was taken or broke a server`, ward.wrong.length === 0, ward.wrong.slice(0, 10).join('\n# '));

  const inRecord = new Set();
  const lines = new Set(ward.devices.flatMap((device) => device.lines));
  for (const line of lines)
    for (let after = 0, more = true; more; ) {
      const response = await fetch(`${ward.anyAddress()}/api/lines/${line}/events?after=${after}`);
      if (response.status !== 200) break;
      const { events, next } = await response.json();
      for (const event of events) inRecord.add(event.id);
      more = next !== undefined;
      after = next;
    }
  const entries = ward.devices.flatMap((device) => [...device.outbox.values()]);
  counts.compared += entries.length;
  const lost = entries.filter((one) => one.status === 'kept' && !inRecord.has(one.event.id));
  check(`${ward.name}: each of ${entries.length} entries is in the record or was refused by name`,
    lost.length === 0 && entries.every((one) => one.status !== 'refused' || one.errors.length > 0), lost.map((one) => JSON.stringify(one.event)).join('\n# '));

  await pause(2500); // the other server looks each second
  const boards = [];
  for (const server of ward.servers) boards.push(await states(server));
  check(`${ward.name}: all its servers show one board`, boards.every((one) => one === boards[0]));
  for (const server of ward.servers) await server.end('SIGTERM');
  const verified = ward.dwell('verify');
  check(`${ward.name}: the record is proven, and its signed heads fit`, verified.status === 0, verified.stdout + verified.stderr);
  const rebuilt = ward.dwell('rebuild');
  check(`${ward.name}: the cache is made again from the entries`, rebuilt.status === 0, rebuilt.stdout + rebuilt.stderr);
  check(`${ward.name}: a server starts on it`, await ward.servers[0].startAtLast(), ward.servers[0].said);
  check(`${ward.name}: the board is what the entries say`, (await states(ward.servers[0])) === boards[0]);
  await ward.servers[0].end('SIGTERM');
}

const wards = [
  new Ward('SQLite', join(box, 'small', 'ward.sqlite'), 1),
  new Ward('PostgreSQL', process.env.DWELL_TEST_POSTGRESQL, 2),
  new Ward('PostgreSQL pair', process.env.DWELL_TEST_POSTGRESQL_PAIR, 2),
];
console.log(`# ${seconds} s; disk that fills up: ${smallDisk ? 'a real small one' : 'not tried here'}; clocks that jump: ${fakeTime !== '' ? 'yes' : 'not tried here'}`);
for (const ward of wards) for (const server of ward.servers) if (!(await server.startAtLast())) throw new Error(`no server: ${server.said}`);
await Promise.all([disturb(wards), ...wards.flatMap((ward) => [besiege(ward), ...ward.devices.map((device) => device.work())])]);
for (const ward of wards) await agree(ward).catch((error) => check(`${ward.name}: it could be looked at`, false, error.stack));
const reasons = new Map();
for (const ward of wards)
  for (const device of ward.devices)
    for (const { status, errors } of device.outbox.values())
      if (status === 'refused') {
        const reason = `${errors[0].path.replace(/^\/\d+/, '')}: expected ${textOf(errors[0].expected).replace(/\d{4}-\d\d-\d\dT[\d:.]+Z/, '…')}`;
        reasons.set(reason, (reasons.get(reason) ?? 0) + 1);
      }
for (const [reason, times] of reasons) console.log(`# refused ${times} times: ${reason}`);
console.log(`1..${number}`);
const said = Object.entries(counts).map(([name, count]) => `${name} ${count}`).join(', ');
console.log(`# ${failures === 0 ? 'All agrees' : `${failures} disagreements`} after ${seconds} s: ${said}`);
await new Promise((done) => process.stdout.write('', done)); // a pipe takes its time
process.exit(failures === 0 ? 0 : 1);
