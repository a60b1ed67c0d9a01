// The ward on this device: the lines as the server last gave them, what falls due by the engine here, and the way to
// chart a fact. Every screen reads from this one place.
import { clockAhead, heardTime, moment, momentIso, wasSet } from '../time/clock';
import { answered, DeviceOnceReady, type FunctionName, type Input, type Output } from '../engine/engine';
import type { FieldError, Result } from '../engine/result';
import { Written } from '../engine/written';
import { ServerEngine } from '../engine/server_engine';
import { inWorker, TwoParts, WasmEngine } from '../engine/wasm_engine';
import { postEvents, type Reply } from '../record/answer';
import { chartTogether, type Outcome, type Way } from '../record/charting';
import { connection, tend } from '../record/connection.svelte';
import { answerOf, type Address, type Answer, type Route } from '../record/api';
import { asCharted, newId, schemaVersion, type Entry } from '../record/entry';
import { listen, type News as Heard } from '../record/live';
import { news, readLooked } from '../record/news.svelte';
import { Outbox } from '../record/outbox';
import { keepPage } from '../record/offline_page';
import { Seal } from '../record/sealed';
import { shelfOfThisDevice } from '../record/shelf';
import { Snapshot } from '../record/snapshot';
import { keepWho, readWho } from '../record/who';
import { ask } from '../record/ask';
import { signed } from '../shell/signed.svelte';
import { session } from '../shell/session.svelte';
import { languages, text, wantedLanguage } from '../text/text';
import { readBoard, withEveryLine, type DueHere } from './board';
import type { Order } from './in_order';
import type { CareVisit, EngineLibrary, LineEvent, LineEventIn, LineHistoryEntry, LineSetAside, LineState, ServerAbout, ServerNotFolded } from '../engine/generated/shapes';

const tickEvery = 30_000;
const tidyAfter = 10_000;
const day = 86_400_000;
/** So long this device keeps what the server has, to give it again to a record that was set back. Common practice, no source. */
const keptFor = 3 * day;
/** Older entries of a line come in so many pages of so many at most. */
const earlierPages = { most: 200, size: 500 };
const nobodyCharts: FieldError[] = [{ path: '/author', found: '', expected: 'who is charting' }];
const nowhere = (): FieldError[] => [{ path: '/device', found: text.care.offline.notKept, expected: text.care.offline.keepOtherwise }];
const noEngine = (): FieldError[] => [{ path: '/engine', found: text.care.offline.noEngine, expected: text.care.offline.engineOtherwise }];
const pictureRefused = (errors: FieldError[]): FieldError[] => errors.map(({ found }) => ({ path: '/body/hash', found, expected: text.care.photo.refused }));
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

/** The server answered, and not with what was asked for. */
class OtherAnswer extends Error {
  constructor(address: string, readonly status: number) {
    super(`${address}: ${status}`);
  }
}

export async function getAnswer<Name extends Route>(route: Name, address: Address<Name>): Promise<Answer<Name>> {
  return answerOf(route, await getText(address));
}

export async function getText(address: string): Promise<string> {
  const answer = await patiently(() => ask(address)).catch((error: unknown) => {
    connection.heard(false);
    throw error;
  });
  connection.heard(answer.status < 500);
  if (!answer.ok) throw new OtherAnswer(address, answer.status);
  return answer.text();
}

class Ward {
  states = $state.raw<Record<string, LineState>>({});
  /** Whose lines are shown: everybody's, or those of the one who charts. */
  onlyMine = $state(false);
  order = $state<Order>('urgency');
  private allDue = $state.raw<DueHere[]>([]);
  private allVisits = $state.raw<CareVisit[]>([]);
  /** What falls due on the lines that are shown, most urgent first. */
  readonly due = $derived(this.onlyMine ? this.allDue.filter((one) => one.nurse === session.person) : this.allDue);
  /** Whoever's lines are listed: where something found is not answered, or a line left unseen. */
  readonly alarmed = $derived(this.allDue.filter(({ items }) => items.some(({ task }) => task === 'response' || task === 'catheter_missing_alarm' || task === 'left_unseen')));
  /** The round over the beds that are shown. */
  readonly visits = $derived(
    this.onlyMine ? this.allVisits.filter((one) => session.person !== null && one.nurses.includes(session.person)) : this.allVisits,
  );
  now = $state(moment());
  /** In ms: how far this device's clock is ahead of the server's, whose time counts. */
  clockAhead = $state(clockAhead());
  loaded = $state(false);
  unreachable = $state(false);
  /** Nothing can be worked out: the last that was asked found no engine, neither here nor at the server. */
  noEngine = $state(false);
  about = $state.raw<ServerAbout | null>(null);
  library = $state.raw<EngineLibrary | null>(null);

  private libraryText: Promise<string> | undefined;
  /** The paper of the policy that the server works by, and of the one that this device works by: null when it is a kept one. */
  private serverPaper = '';
  private ownPaper: string | null = null;
  /** Entries that are on this device only, oldest first. */
  waiting = $state.raw<Entry[]>([]);

  /** Of lines that were opened: the entries that could not be read, and how many older ones the server did not send along. */
  setAside = $state.raw<Record<string, LineSetAside[]>>({});
  earlier = $state.raw<Record<string, number>>({});
  /** Lines that the server could not work out: nobody sees what falls due on them. */
  notFolded = $state.raw<ServerNotFolded[]>([]);

  private readonly events = new Map<string, LineEvent[]>();
  private readonly texts = new WeakMap<LineState, string>();
  private snapshot: Snapshot | undefined;
  private outbox: Outbox | undefined;
  /** Whether live news come: not known before the first word or silence. */
  private live: 'unknown' | 'heard' | 'silent' = 'unknown';
  /** Entries that are offered to a record once more, which had them before. */
  private readonly again = new Set<string>();
  private engine = this.makeEngine();

  async start(): Promise<void> {
    const ward = this.refresh(); // on its way while the device's own store is opened
    ward.catch(() => undefined);
    const seal = await Seal.ofThisDevice();
    this.snapshot = await Snapshot.open('dwell-seen', seal);
    const seen = await this.snapshot.read<number>('sequence');
    this.outbox = new Outbox(await shelfOfThisDevice('dwell-outbox'), seal, (events) => this.send(events), (event) => this.readyToGo(event));
    tend(this.outbox, ({ waiting }) => (this.waiting = waiting));
    this.listen();
    setInterval(() => news.tick(), 5_000);
    setInterval(() => void this.turn(), tickEvery);
    this.about = await this.seenAbout();
    session.demo = this.about.demo;
    session.ward = this.about.ward.unit;
    await ward.catch(() => this.showLastSeen());
    await this.standsAt(news.sequence, seen?.value ?? 0);
    if (news.reachable) this.keepBoard(Object.values(this.states));
    this.library = answerOf('GET /api/library', await this.readLibrary()); // behind what the first screen needs
    this.engine.warm();
    void keepPage(this.about.page);
    setTimeout(() => void this.tidy().catch(() => undefined), tidyAfter);
  }

  private listen(): void {
    const hear = ({ kind, data }: Heard): void => {
      const looked = kind === 'looked' ? readLooked(data) : null;
      if (looked !== null) connection.heard(looked.reachable);
      if (kind !== 'looked' || (looked !== null && news.hears(looked))) void this.refresh().catch(() => undefined);
    };
    listen(['entries', 'policy', 'looked'], hear, (connected) => {
      // What was missed while nobody was heard is asked for, and so is whether the server is there at all.
      if (connected ? this.live === 'silent' : this.live !== 'silent') void this.refresh().catch(() => undefined);
      this.live = connected ? 'heard' : 'silent';
      connection.heard(connected);
    });
  }

  /** The time goes on; whoever hears nobody asks. */
  private async turn(): Promise<void> {
    const asks = wasSet() || this.live !== 'heard' || !news.reachable;
    await (asks ? this.refresh().catch(() => this.tick()) : this.tick());
  }

  /** What this device need not keep any longer. */
  private async tidy(): Promise<void> {
    await this.outbox?.prune(Date.now() - keptFor);
    await this.snapshot?.forgetBefore(Date.now() - keptFor, (part) => part.startsWith('line-'));
    const { waiting = [], refused = [] } = (await this.outbox?.census()) ?? {};
    const { forgetOrphans } = await pictures();
    await forgetOrphans(Date.now() - day, new Set([...waiting, ...refused].flatMap(({ event }) => (event.body.kind === 'photographed' ? [event.body.hash] : []))));
    await import('../record/typed.svelte').then(({ tidyTyped }) => tidyTyped());
  }

  fail(): void {
    this.unreachable = true;
  }

  private charts = 0;
  /**
   * Whoever charts stands there once a reload finds it again: what is shown is kept. A device that keeps nothing, or takes long, does not
   * hold up the work; it asks again.
   */
  async chart(person: string | null): Promise<void> {
    const mine = ++this.charts;
    const who = person === null ? null : asCharted(person);
    if (who === null) session.person = null;
    await Promise.race([keepWho(who).catch(() => undefined), new Promise((patience) => setTimeout(patience, 3_000))]);
    if (mine === this.charts) session.person = who;
  }

  /** For who looks after no patient: what this server is, and the policy. */
  async startWithoutPatients(): Promise<void> {
    this.about = await this.seenAbout();
    session.demo = this.about.demo;
    this.library = answerOf('GET /api/library', await this.readLibrary());
    this.loaded = true;
    this.engine.warm();
  }

  /** What was seen of patients leaves this device with her who signs out. What waits stays, sealed, until it is sent. */
  async forgetSeen(): Promise<void> {
    await this.chart(null);
    await this.snapshot?.forgetBefore(Number.POSITIVE_INFINITY).catch(() => undefined);
  }

  /** Who charted in this tab before it was loaded anew. */
  async chartsAgain(): Promise<void> {
    session.person = await readWho().catch(() => null);
  }

  /** Never rejects: where no engine can be reached, that is what is wrong. */
  call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    return answered(this.engine.call(name, input), noEngine, (was) => (this.noEngine = !was));
  }

  state(id: string | undefined): LineState | undefined {
    return id === undefined ? undefined : this.states[id];
  }

  dueOf(id: string): DueHere | undefined {
    return this.allDue.find((one) => one.line === id); // whoever's lines are listed
  }

  async refresh(): Promise<void> {
    const known = news.sequence;
    const asked = performance.now();
    const board = await readBoard(getText).catch((error: unknown) => {
      news.lost();
      throw error;
    });
    heardTime(Date.parse(board.now), performance.now() - asked);
    this.clockAhead = clockAhead();
    this.now = moment();
    if (board.sequence < news.sequence && board.sequence >= known) return; // overtaken on its way by a later answer
    news.shows(Date.parse(board.true_at), board.sequence);
    news.proof = board.proof ?? '';
    this.states = Object.fromEntries(board.states.map((one) => [one.id, one]));
    this.notFolded = board.not_folded ?? [];
    this.allDue = withEveryLine(board.due, board.states);
    this.allVisits = board.visits;
    this.loaded = true;
    this.keepBoard(board.states);
    await this.standsAt(board.sequence, known);
    this.serverPaper = board.policy;
    if (this.library !== null && this.ownPaper !== board.policy) await this.takePolicy().catch(() => undefined); // else at the next news
    // The server's round is by urgency, and of one page.
    if (this.order === 'bed' || board.inPages) await this.tick().catch(() => undefined);
  }

  private keepBoard(states: LineState[]): void {
    if (news.stoodAt === null) return;
    void this.snapshot?.keep('ward', states, news.stoodAt);
    void this.snapshot?.keep('sequence', news.sequence);
  }

  /** The record stands further back than it did: it was set back to an older copy, and is given again what it had from here. */
  private async standsAt(sequence: number, known: number): Promise<void> {
    if (!news.reachable || sequence >= known) return;
    news.setBack ??= { given: 0 };
    await this.giveAgain(() => true);
  }

  private async giveAgain(which: (entry: Entry) => boolean): Promise<void> {
    await this.outbox
      ?.offerAgain((entry) => {
        const isAgain = which(entry);
        if (isAgain) this.again.add(entry.id);
        return isAgain;
      })
      .catch(() => undefined); // at the next look
  }

  /** Without a network: the ward as this device last saw it, with its age. */
  private async showLastSeen(): Promise<void> {
    const seen = await this.snapshot?.read<LineState[]>('ward');
    if (seen === null || seen === undefined) throw new Error('never seen');
    news.shows(seen.at, (await this.snapshot?.read<number>('sequence'))?.value ?? 0);
    news.lost();
    this.states = Object.fromEntries(seen.value.map((one) => [one.id, one]));
    this.allDue = withEveryLine([], seen.value);
    await this.tick().catch(() => undefined); // an engine that was never fetched here: then what falls due is not known
    this.loaded = true;
    this.waiting = (await this.outbox?.census())?.waiting ?? [];
    for (const id of new Set(this.waiting.map((entry) => entry.event.line))) await this.foldWaiting(id);
  }

  /** From the server; else as this device last saw it. */
  private async seenAbout(): Promise<ServerAbout> {
    try {
      const value = await getAnswer('GET /api/about', 'api/about');
      void this.snapshot?.keep('about', value);
      return value;
    } catch (error) {
      const kept = await this.snapshot?.read<ServerAbout>('about');
      if (kept === null || kept === undefined) throw error;
      return kept.value;
    }
  }

  /** A line that is closed is no longer on the ward's list; it is fetched alone. */
  async fetchLine(id: string): Promise<LineState> {
    const asked = Date.now();
    const address: Address<'GET /api/lines/{line}'> = `api/lines/${encodeURIComponent(id)}`;
    const told = await getText(address).catch(async (error: unknown) => {
      if (error instanceof OtherAnswer && error.status === 404) await this.giveAgain((entry) => entry.event.line === id && (entry.settled_at ?? asked) < asked);
      throw error;
    });
    const { state, events, set_aside: setAside, earlier = 0 } = answerOf('GET /api/lines/{line}', told);
    this.states = { ...this.states, [id]: state };
    this.setAside = { ...this.setAside, [id]: setAside };
    this.earlier = { ...this.earlier, [id]: earlier };
    if (earlier === 0) {
      this.events.set(id, events);
      void this.snapshot?.keep(`line-${id}`, events);
      const there = new Set([...events, ...setAside].map((one) => one.id));
      await this.giveAgain((entry) => entry.event.line === id && (entry.settled_at ?? asked) < asked && !there.has(entry.id));
    } else this.events.delete(id); // a line without its beginning cannot be worked out here
    return state;
  }

  /** What was charted on a line before what the server sent along, oldest first. */
  async earlierOf(id: string): Promise<LineHistoryEntry[]> {
    const events: LineEvent[] = [];
    const wanted = this.earlier[id] ?? 0;
    for (let pages = 0, after = 0; events.length < wanted && pages < earlierPages.most; pages++) {
      const first = Math.min(earlierPages.size, wanted - events.length);
      const page = await getAnswer('GET /api/lines/{line}/events', `api/lines/${encodeURIComponent(id)}/events?after=${after}&first=${first}`);
      const last = page.events.at(-1)?.receipt?.sequence;
      events.push(...page.events);
      if (last === undefined || last <= after) break;
      after = last;
    }
    const answer = await this.call('line.fold', { events });
    if (!answer.ok) throw new Error('the older entries could not be read together');
    return answer.value.history;
  }

  /** A line that somebody opened: what is needed to go on with it without a network. */
  async open(id: string): Promise<void> {
    if (news.reachable) await this.fetchLine(id).catch(() => undefined);
    await this.foldWaiting(id);
  }

  /** The line as it will be once the server has what waits on this device; what was never opened here stays as last seen. */
  private async foldWaiting(id: string): Promise<void> {
    const waiting = this.waiting.map((entry) => entry.event).filter((event) => event.line === id);
    if (waiting.length === 0) return;
    const known = this.events.get(id) ?? (await this.snapshot?.read<LineEvent[]>(`line-${id}`))?.value;
    if (known === undefined) return;
    this.events.set(id, known);
    const answer = await this.call('line.fold', { events: [...known, ...waiting] }).catch(() => null);
    if (answer === null || !answer.ok) return;
    this.states = { ...this.states, [id]: answer.value };
    await this.tick();
  }

  /**
   * Charts facts of one line, together or not at all. Returns what the server found wrong: then nothing was charted and
   * the form still holds what was typed. Without a network the entries wait on this device; a resend is harmless.
   * `form`: told what is sent of it, so that a page that is closed meanwhile finds out what became of it.
   */
  async record(line: string, bodies: Charted[], deviationReason?: string, form?: { goes: (way: Way) => Promise<void> }): Promise<FieldError[]> {
    const events = this.eventsOf(line, bodies, deviationReason);
    if (events === null) return nobodyCharts;
    await form?.goes({ line, ids: events.map(({ id }) => id) });
    return this.chartEvents(line, events);
  }

  private async chartEvents(line: string, events: LineEventIn[]): Promise<FieldError[]> {
    const send = (all: LineEventIn[]): Promise<Reply> => this.post('api/events?together', all);
    return this.became(line, this.outbox === undefined ? nowhere() : await chartTogether(this.outbox, events, send, nowhere()));
  }

  /** What the form is told, and the line as it then stands. */
  private async became(line: string, outcome: Outcome): Promise<FieldError[]> {
    // It is charted, whatever becomes of reading it back.
    if (outcome === 'there') await this.fetchLine(line).then(() => this.tick()).catch(() => undefined);
    if (outcome === 'here') {
      this.waiting = (await this.outbox?.census().catch(() => null))?.waiting ?? this.waiting;
      await this.foldWaiting(line);
    }
    return Array.isArray(outcome) ? outcome : [];
  }

  /** Where events are made: what a person typed is written in one way. */
  private eventsOf(line: string, bodies: Charted[], deviationReason = ''): LineEventIn[] | null {
    const author = session.person;
    if (author === null) return null;
    const at = momentIso();
    const known = [...(this.events.get(line) ?? []), ...(this.states[line]?.history ?? []), ...this.waiting].map(({ id }) => id);
    const events = bodies.map(({ happened_at, corrects, ...body }) => ({
      id: newId(known), line, occurred_at: happened_at ?? at, recorded_at: at, author, device: 'page', schema: schemaVersion, body,
      ...(corrects === undefined ? {} : { corrects }),
      ...(deviationReason === '' ? {} : { deviation_reason: deviationReason }),
    }));
    return asCharted<LineEventIn[]>(events);
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
    const answer = await this.call('care.ward', new Written(`{"states":[${states.join(',')}],${rest}`));
    if (!answer.ok) return;
    this.allDue = withEveryLine(answer.value.lines, Object.values(this.states), answer.value.off_the_list);
    this.allVisits = answer.value.visits;
  }

  /** A line as the engine takes it, written once for as long as it does not change. */
  private textOf(state: LineState): string {
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
  async takePolicy(): Promise<void> {
    const library = await this.libraryFromServer();
    this.libraryText = Promise.resolve(library);
    this.library = answerOf('GET /api/library', library);
    const before = this.engine;
    this.engine = this.makeEngine();
    before.end();
  }

  private makeEngine(): DeviceOnceReady {
    // The language that the page is about to speak: the engine is made before its words are there.
    const { decimal } = languages[wantedLanguage()];
    const part = (which: 'first' | 'whole'): WasmEngine => new WasmEngine(() => this.readLibrary(), inWorker(which, decimal));
    return new DeviceOnceReady(
      new TwoParts(part('first'), part('whole')),
      new ServerEngine(decimal),
    );
  }

  /** What the server said, and what there is to know from it beside what became of the entries. */
  private async post(where: Address<'POST /api/events'>, events: LineEventIn[]): Promise<Reply> {
    const known = news.sequence;
    const reply = await postEvents(where, events);
    connection.heard(reply.kind === 'named');
    if (reply.kind !== 'named') return reply;
    news.takeIn(reply.said);
    const given = [...reply.written].filter((id) => this.again.delete(id)).length;
    if (given > 0) news.setBack = { given: (news.setBack?.given ?? 0) + given };
    if (reply.sequence < known) void this.refresh().catch(() => undefined); // which finds it set back
    return reply;
  }

  /** What waited on this device. */
  private send(events: LineEventIn[]): Promise<Reply> {
    return this.post('api/events', events);
  }

  /** Another's entry waits until its author is signed in again: under this name the record would not take it. */
  private readyToGo(event: LineEventIn): Promise<'ready' | 'later' | FieldError[]> {
    return signed.hasAccounts && event.author !== signed.person?.name ? Promise.resolve('later') : this.sendPictureOf(event);
  }

  private async sendPictureOf(event: LineEventIn): Promise<'ready' | 'later' | FieldError[]> {
    const { body } = event;
    if (body.kind !== 'photographed') return 'ready';
    const is = await (await pictures()).sendPicture(body.hash);
    return Array.isArray(is) ? pictureRefused(is) : is;
  }

  /**
   * Charts a picture: it lies on this device, then the server keeps it under its hash, and the hash is charted like any other
   * fact. Without a network both wait on this device.
   */
  async chartPicture(line: string, picture: Blob): Promise<FieldError[]> {
    const { keepPicture, sendPicture, forgetPicture } = await pictures();
    const hash = await keepPicture(picture).catch(() => null);
    if (hash === null) return nowhere();
    const events = this.eventsOf(line, [{ kind: 'photographed', hash, media_type: picture.type, bytes: picture.size, note: '' }]);
    if (events === null || this.outbox === undefined) return events === null ? nobodyCharts : nowhere();
    const sent = await sendPicture(hash);
    if (sent === 'ready') return this.chartEvents(line, events);
    if (sent === 'later') return this.became(line, await this.outbox.add(events).then(() => 'here' as const, nowhere));
    await forgetPicture(hash).catch(() => undefined);
    return pictureRefused(sent);
  }

  /** Entries that the server did not take: still on this device, with its reasons. */
  async refusedHere(): Promise<Entry[]> {
    return (await this.outbox?.census())?.refused ?? [];
  }

  async discardRefused(id: string): Promise<void> {
    const entry = (await this.refusedHere()).find((one) => one.id === id);
    const body = entry?.event.body;
    if (body?.kind === 'photographed') await pictures().then(({ forgetPicture }) => forgetPicture(body.hash));
    await this.outbox?.discardRefused(id);
  }
}

/** A fact as it is charted; with a moment when it happened earlier than now, and the entry that it corrects or takes back. */
export type Charted = LineEventIn['body'] & { happened_at?: string; corrects?: string };

export const ward = new Ward();
