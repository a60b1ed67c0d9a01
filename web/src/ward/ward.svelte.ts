// The ward on this device: the lines as the server last gave them, what falls due by the engine here, and the way to
// chart a fact. Every screen reads from this one place.
import { clockAhead, heardTime, moment, momentIso, wasSet } from '../time/clock';
import { DeviceOnceReady } from '../engine/engine';
import type { FieldError, Result } from '../engine/result';
import { Written } from '../engine/written';
import { ServerEngine } from '../engine/server_engine';
import { inWorker, TwoParts, WasmEngine } from '../engine/wasm_engine';
import { connection, tend } from '../record/connection.svelte';
import { newId, schemaVersion, type Entry, type LineEvent } from '../record/entry';
import { listen } from '../record/live';
import { Outbox } from '../record/outbox';
import { keepPage } from '../record/offline_page';
import { Seal } from '../record/sealed';
import { Snapshot } from '../record/snapshot';
import { session } from '../shell/session.svelte';
import { text } from '../text/text';
import type { Order } from './in_order';
import type { About, Library, LineDue, State, Visit } from './shapes';

const tickEvery = 30_000;
const chartingKey = 'dwell.charting';
const nobodyCharts: FieldError[] = [{ path: '/author', found: '', expected: 'who is charting' }];
const isRefusal = (answer: Response): boolean => answer.status >= 400 && answer.status < 500;
const pictureRefused = (answer: Response): FieldError => ({ path: '/body/hash', found: `${answer.status}`, expected: text.care.photo.refused });
const pictures = (): Promise<typeof import('../record/pictures')> => import('../record/pictures');

/** A reading that fails once or twice is tried again; without any network it fails at once. */
async function patiently(read: () => Promise<Response>, waits: readonly number[] = [300, 1_000]): Promise<Response> {
  const [wait, ...later] = waits;
  const answer = await read().catch((error: unknown) => {
    if (wait === undefined || !navigator.onLine) throw error;
    return null;
  });
  if (answer !== null && (answer.status < 500 || wait === undefined)) return answer;
  await new Promise((done) => setTimeout(done, wait));
  return patiently(read, later);
}

export async function getText(address: string): Promise<string> {
  const answer = await patiently(() => fetch(address));
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.text();
}

class Ward {
  states = $state.raw<Record<string, State>>({});
  /** Whose lines are shown: everybody's, or those of the one who charts. */
  onlyMine = $state(false);
  order = $state<Order>('urgency');
  private allDue = $state.raw<LineDue[]>([]);
  private allVisits = $state.raw<Visit[]>([]);
  /** What falls due on the lines that are shown, most urgent first. */
  readonly due = $derived(this.onlyMine ? this.allDue.filter((one) => one.nurse === session.person) : this.allDue);
  /** The round over the beds that are shown. */
  readonly visits = $derived(
    this.onlyMine ? this.allVisits.filter((one) => session.person !== null && one.nurses.includes(session.person)) : this.allVisits,
  );
  now = $state(moment());
  /** In ms: how far this device's clock is ahead of the server's, whose time counts. */
  clockAhead = $state(clockAhead());
  loaded = $state(false);
  unreachable = $state(false);
  about = $state.raw<About | null>(null);
  library = $state.raw<Library | null>(null);

  private libraryText: Promise<string> | undefined;
  /** The paper of the policy that the server works by, and of the one that this device works by: null when it is a kept one. */
  private serverPaper = '';
  private ownPaper: string | null = null;
  /** When this device last saw the ward; null while the server is heard. */
  seenAt = $state<number | null>(null);
  /** Entries that are on this device only, oldest first. */
  waiting = $state.raw<Entry[]>([]);

  private readonly events = new Map<string, LineEvent[]>();
  private readonly texts = new WeakMap<State, string>();
  private snapshot: Snapshot | undefined;
  private outbox: Outbox | undefined;
  private engine = this.makeEngine();

  async start(): Promise<void> {
    session.person = sessionStorage.getItem(chartingKey);
    const ward = this.refresh(); // on its way while the device's own store is opened
    ward.catch(() => undefined);
    const seal = await Seal.ofThisDevice();
    this.snapshot = await Snapshot.open('dwell-seen', seal);
    this.outbox = await Outbox.open('dwell-outbox', seal, (events) => this.send(events));
    this.outbox.watch(() => void this.countWaiting());
    await this.countWaiting();
    tend(this.outbox);
    listen(['entries', 'policy'], () => void this.refresh().catch(() => undefined), (connected) => (connection.connected = connected));
    setInterval(() => void (wasSet() ? this.refresh().catch(() => this.tick()) : this.tick()), tickEvery);
    this.about = await this.seen<About>('about', () => getText('api/about'));
    session.demo = this.about.demo;
    session.ward = this.about.ward.unit;
    await ward.catch(() => this.showLastSeen());
    if (this.seenAt === null) void this.snapshot.keep('ward', Object.values(this.states));
    this.library = JSON.parse(await this.readLibrary()) as Library; // behind what the first screen needs
    this.engine.warm();
    if (this.about.page !== undefined) void keepPage(this.about.page);
  }

  fail(): void {
    this.unreachable = true;
  }

  chart(person: string | null): void {
    session.person = person;
    if (person === null) sessionStorage.removeItem(chartingKey);
    else sessionStorage.setItem(chartingKey, person);
  }

  call<T>(name: string, input: unknown): Promise<Result<T>> {
    return this.engine.call<T>(name, input);
  }

  state(id: string | undefined): State | undefined {
    return id === undefined ? undefined : this.states[id];
  }

  dueOf(id: string): LineDue | undefined {
    return this.due.find((one) => one.line === id);
  }

  async refresh(): Promise<void> {
    const asked = performance.now();
    const answer = JSON.parse(await getText('api/ward')) as { now: string; policy: string; states: State[]; due: LineDue[]; visits: Visit[] };
    heardTime(Date.parse(answer.now), performance.now() - asked);
    this.clockAhead = clockAhead();
    this.now = moment();
    this.seenAt = null;
    this.states = Object.fromEntries(answer.states.map((one) => [one.id, one]));
    this.allDue = answer.due;
    this.allVisits = answer.visits;
    this.loaded = true;
    void this.snapshot?.keep('ward', answer.states);
    this.serverPaper = answer.policy;
    if (this.library !== null && this.ownPaper !== answer.policy) await this.takePolicy().catch(() => undefined); // else at the next news
    if (this.order === 'bed') await this.tick().catch(() => undefined); // the server's round is by urgency
  }

  /** Without a network: the ward as this device last saw it, with its age. */
  private async showLastSeen(): Promise<void> {
    const seen = await this.snapshot?.read<State[]>('ward');
    if (seen === null || seen === undefined) throw new Error('never seen');
    this.seenAt = seen.at;
    this.states = Object.fromEntries(seen.value.map((one) => [one.id, one]));
    await this.tick();
    this.loaded = true;
    for (const id of new Set(this.waiting.map((entry) => entry.event.line))) await this.foldWaiting(id);
  }

  /** From the server; else as this device last saw it. */
  private async seen<T>(part: string, read: () => Promise<string>): Promise<T> {
    try {
      const value = JSON.parse(await read()) as T;
      void this.snapshot?.keep(part, value);
      return value;
    } catch (error) {
      const kept = await this.snapshot?.read<T>(part);
      if (kept === null || kept === undefined) throw error;
      return kept.value;
    }
  }

  private async countWaiting(): Promise<void> {
    this.waiting = (await this.outbox?.waiting()) ?? [];
  }

  /** A line that is closed is no longer on the ward's list; it is fetched alone. */
  async fetchLine(id: string): Promise<State> {
    const answer = JSON.parse(await getText(`api/lines/${encodeURIComponent(id)}`)) as { state: State; events: LineEvent[] };
    this.states = { ...this.states, [id]: answer.state };
    this.events.set(id, answer.events);
    void this.snapshot?.keep(`line-${id}`, answer.events);
    return answer.state;
  }

  /** A line that somebody opened: what is needed to go on with it without a network. */
  async open(id: string): Promise<void> {
    if (this.seenAt === null) await this.fetchLine(id).catch(() => undefined);
    await this.foldWaiting(id);
  }

  /** The line as it will be once the server has what waits on this device; what was never opened here stays as last seen. */
  private async foldWaiting(id: string): Promise<void> {
    const waiting = this.waiting.map((entry) => entry.event).filter((event) => event.line === id);
    if (waiting.length === 0) return;
    const known = this.events.get(id) ?? (await this.snapshot?.read<LineEvent[]>(`line-${id}`))?.value;
    if (known === undefined) return;
    this.events.set(id, known);
    const answer = await this.call<State>('line.fold', { events: [...known, ...waiting] }).catch(() => null);
    if (answer === null || !answer.ok) return;
    this.states = { ...this.states, [id]: answer.value };
    await this.tick();
  }

  /**
   * Charts facts of one line, together or not at all. Returns what the server found wrong: then nothing was charted and
   * the form still holds what was typed. Without a network the entries wait on this device; a resend is harmless.
   */
  async record(line: string, bodies: Charted[], deviationReason?: string): Promise<FieldError[]> {
    const events = this.eventsOf(line, bodies, deviationReason);
    return events === null ? nobodyCharts : this.chartEvents(line, events);
  }

  private async chartEvents(line: string, events: LineEvent[]): Promise<FieldError[]> {
    try {
      const answer = await this.post('api/events?together', events);
      if (answer.errors.length > 0) return answer.errors;
    } catch {
      await this.keepHere(line, events);
      return [];
    }
    // It is charted, whatever becomes of reading it back.
    await this.fetchLine(line).then(() => this.tick()).catch(() => undefined);
    return [];
  }

  private eventsOf(line: string, bodies: Charted[], deviationReason = ''): LineEvent[] | null {
    const author = session.person;
    if (this.outbox === undefined || author === null) return null;
    const at = momentIso();
    return bodies.map(({ happened_at, corrects, ...body }) => ({
      id: newId(), line, occurred_at: happened_at ?? at, recorded_at: at, author, device: 'page', schema: schemaVersion, body,
      ...(corrects === undefined ? {} : { corrects }),
      ...(deviationReason === '' ? {} : { deviation_reason: deviationReason }),
    }));
  }

  private async keepHere(line: string, events: LineEvent[]): Promise<void> {
    for (const event of events) await this.outbox?.add(event);
    await this.countWaiting();
    await this.foldWaiting(line);
  }

  /** Shows other lines at once, or the round in another order as soon as it is worked out. */
  async show(choice: { onlyMine?: boolean; order?: Order }): Promise<void> {
    this.onlyMine = choice.onlyMine ?? this.onlyMine;
    if (choice.order === undefined) return;
    this.order = choice.order;
    await new Promise((seen) => setTimeout(seen)); // the tap is answered first
    await this.tick();
  }

  private async tick(): Promise<void> {
    this.now = moment();
    const states = Object.values(this.states).filter((one) => one.stage !== 'closed').map((one) => this.textOf(one));
    const rest = JSON.stringify({ now: new Date(this.now).toISOString(), order: this.order === 'bed' ? 'walk' : 'urgency' }).slice(1);
    const answer = await this.call<{ lines: LineDue[]; visits: Visit[] }>('care.ward', new Written(`{"states":[${states.join(',')}],${rest}`));
    if (!answer.ok) return;
    this.allDue = answer.value.lines;
    this.allVisits = answer.value.visits;
  }

  /** A line as the engine takes it, written once for as long as it does not change. */
  private textOf(state: State): string {
    const known = this.texts.get(state);
    if (known !== undefined) return known;
    const text = JSON.stringify(state);
    this.texts.set(state, text);
    return text;
  }

  private readLibrary(): Promise<string> {
    this.libraryText ??= this.libraryFromServer()
      .catch(async (error: unknown) => {
        const kept = await this.snapshot?.read<unknown>('library');
        if (kept === null || kept === undefined) throw error;
        return JSON.stringify(kept.value);
      })
      .catch((error: unknown) => {
        this.libraryText = undefined;
        throw error;
      });
    return this.libraryText;
  }

  private async libraryFromServer(): Promise<string> {
    const paper = this.serverPaper;
    const library = await getText('api/library');
    this.ownPaper = paper;
    void this.snapshot?.keep('library', JSON.parse(library));
    return library;
  }

  /** Another policy is in force: the library and the engine here follow it. */
  private async takePolicy(): Promise<void> {
    const library = await this.libraryFromServer();
    this.libraryText = Promise.resolve(library);
    this.library = JSON.parse(library) as Library;
    const before = this.engine;
    this.engine = this.makeEngine();
    before.end();
  }

  private makeEngine(): DeviceOnceReady {
    return new DeviceOnceReady(
      new TwoParts(new WasmEngine(() => this.readLibrary(), inWorker('first')), new WasmEngine(() => this.readLibrary(), inWorker('whole'))),
      new ServerEngine(),
    );
  }

  /** What the server said; rejects when it cannot be reached. */
  private async post(where: string, events: LineEvent[]): Promise<{ errors: FieldError[]; refused: Refused[] }> {
    const answer = await fetch(where, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(events) });
    if (answer.ok) return { errors: [], refused: ((await answer.json()) as { refused: Refused[] }).refused };
    if (answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
    return { errors: ((await answer.json()) as { errors: FieldError[] }).errors, refused: [] };
  }

  /** What waited on this device. One wrong entry does not hold up the others; when all are wrong, each says why. */
  private async send(events: LineEvent[]): Promise<{ id: string; errors: FieldError[] }[]> {
    const refused: { id: string; errors: FieldError[] }[] = [];
    const rest: LineEvent[] = [];
    for (const event of events) {
      if (event.body.kind !== 'photographed') rest.push(event);
      else {
        // A picture that does not get through waits for the next time; it holds up no other entry.
        const errors = await this.sendPicture(String(event.body['hash'])).catch(() => null);
        if (errors?.length === 0) rest.push(event);
        else if (errors !== null) refused.push({ id: event.id, errors });
      }
    }
    return rest.length === 0 ? refused : [...refused, ...(await this.sendEntries(rest))];
  }

  private async sendEntries(events: LineEvent[]): Promise<{ id: string; errors: FieldError[] }[]> {
    const answer = await this.post('api/events', events);
    return events.map((event, index) => ({
      id: event.id,
      errors: [
        ...(answer.refused.find((one) => one.index === index)?.errors ?? []),
        ...answer.errors.filter((error) => events.length === 1 || error.path.startsWith(`/${index}/`)),
      ],
    }));
  }

  /**
   * Charts a picture: the server keeps it under its hash, and the hash is charted like any other fact. Without a network
   * both wait on this device.
   */
  async chartPicture(line: string, picture: Blob): Promise<FieldError[]> {
    // Who took it and when is settled before it is on its way.
    const events = this.eventsOf(line, [{ kind: 'photographed', hash: '', media_type: picture.type, bytes: picture.size, note: '' }]);
    if (events === null) return nobodyCharts;
    const named = (hash: string): LineEvent[] => events.map((event) => ({ ...event, body: { ...event.body, hash } }));
    const answer = await this.postPicture(picture).catch(() => null);
    if (answer !== null && isRefusal(answer)) return [pictureRefused(answer)];
    if (answer?.ok === true) return this.chartEvents(line, named(((await answer.json()) as { written: [string] }).written[0]));
    const { keepPicture } = await pictures();
    await this.keepHere(line, named(await keepPicture(picture)));
    return [];
  }

  private postPicture(picture: Blob): Promise<Response> {
    return fetch('api/photos', { method: 'POST', headers: { 'Content-Type': picture.type }, body: picture });
  }

  /** A picture that waited on this device goes before the entry that names it. Returns why the server does not take it. */
  private async sendPicture(hash: string): Promise<FieldError[]> {
    const { readPicture, forgetPicture } = await pictures();
    const picture = await readPicture(hash);
    if (picture === null) return [];
    const answer = await this.postPicture(picture);
    if (isRefusal(answer)) return [pictureRefused(answer)];
    if (!answer.ok) throw new Error(`the server answered ${answer.status}`);
    await forgetPicture(hash);
    return [];
  }

  /** Entries that the server did not take: still on this device, with its reasons. */
  async refusedHere(): Promise<Entry[]> {
    return ((await this.outbox?.all()) ?? []).filter((entry) => entry.status === 'refused');
  }

  async discardRefused(id: string): Promise<void> {
    const entry = (await this.refusedHere()).find((one) => one.id === id);
    if (entry?.event.body.kind === 'photographed') await pictures().then(({ forgetPicture }) => forgetPicture(String(entry.event.body['hash'])));
    await this.outbox?.discardRefused(id);
  }
}

/** A fact as it is charted; with a moment when it happened earlier than now, and the entry that it corrects or takes back. */
export type Charted = LineEvent['body'] & { happened_at?: string; corrects?: string };

interface Refused {
  index: number;
  errors: FieldError[];
}

export const ward = new Ward();
