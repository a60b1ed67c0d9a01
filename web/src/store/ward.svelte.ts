// The ward on this device: the lines as the server last gave them and what falls due by the engine here. Every screen reads from this
// one place, and charts and asks through it: how an entry reaches the record is known by Charting, which engine answers by EngineHost.
import { clockAhead, heardTime, moment, wasSet } from '../time/clock';
import type { FunctionName, Input, Output } from '../engine/engine';
import { Latest } from '../engine/latest';
import type { FieldError, Result } from '../engine/result';
import { Written } from '../engine/written';
import type { Way } from '../record/charting';
import { connection } from '../record/connection.svelte';
import { answerOf, type Address } from '../record/api';
import { asCharted, type Entry } from '../record/entry';
import { listen, type News as Heard } from '../record/live';
import { news, readLooked } from '../record/news.svelte';
import { keepPage } from '../record/offline_page';
import { Seal } from '../record/sealed';
import { Snapshot } from '../record/snapshot';
import { keepWho, readWho } from '../record/who';
import { session } from '../shell/session.svelte';
import { readBoard, withEveryLine, type DueHere } from './board';
import { Charting, pictures, type Charted } from './charting.svelte';
import { getAnswer, getText, OtherAnswer } from './from_server';
import { EngineHost } from './host.svelte';
import type { Order } from './in_order';
import { isEmergency } from './level';
import type { CareVisit, EngineLibrary, LineEvent, LineHistoryEntry, LineSetAside, LineState, ServerAbout, ServerNotFolded } from '../engine/generated/shapes';

export type { Charted };

const tickEvery = 30_000;
const tidyAfter = 10_000;
const day = 86_400_000;
/** So long this device keeps what the server has, to give it again to a record that was set back. Common practice, no source. */
const keptFor = 3 * day;
/** Older entries of a line come in so many pages of so many at most. */
const earlierPages = { most: 200, size: 500 };

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
  readonly alarmed = $derived(this.allDue.filter(({ items }) => items.some(isEmergency)));
  /** The round over the beds that are shown. */
  readonly visits = $derived(
    this.onlyMine ? this.allVisits.filter((one) => session.person !== null && one.nurses.includes(session.person)) : this.allVisits,
  );
  now = $state(moment());
  /** In ms: how far this device's clock is ahead of the server's, whose time counts. */
  clockAhead = $state(clockAhead());
  loaded = $state(false);
  unreachable = $state(false);
  about = $state.raw<ServerAbout | null>(null);

  /** Of lines that were opened: the entries that could not be read, and how many older ones the server did not send along. */
  setAside = $state.raw<Record<string, LineSetAside[]>>({});
  earlier = $state.raw<Record<string, number>>({});
  /** Lines that the server could not work out: nobody sees what falls due on them. */
  notFolded = $state.raw<ServerNotFolded[]>([]);

  private readonly events = new Map<string, LineEvent[]>();
  private readonly texts = new WeakMap<LineState, string>();
  private snapshot: Snapshot | undefined;
  /** Whether live news come: not known before the first word or silence. */
  private live: 'unknown' | 'heard' | 'silent' = 'unknown';
  private readonly host = new EngineHost(() => this.snapshot);
  private readonly charting = new Charting({
    idsOf: (line) => [...(this.events.get(line) ?? []), ...(this.states[line]?.history ?? [])].map(({ id }) => id),
    isThere: async (line) => {
      await this.fetchLine(line);
      await this.tick();
    },
    isHere: (line) => this.foldWaiting(line),
    setBack: () => void this.refresh().catch(() => undefined), // which finds it set back
  });
  /** What falls due, and each line that is fetched: of two answers the one that was asked for last counts. */
  private readonly dues = new Latest();
  private readonly fetches = new Map<string, Latest>();

  get library(): EngineLibrary | null {
    return this.host.library;
  }
  get noEngine(): boolean {
    return this.host.noEngine;
  }
  get waiting(): Entry[] {
    return this.charting.waiting;
  }

  async start(): Promise<void> {
    const ward = this.refresh(); // on its way while the device's own store is opened
    ward.catch(() => undefined);
    const seal = await Seal.ofThisDevice();
    this.snapshot = await Snapshot.open('dwell-seen', seal);
    const seen = await this.snapshot.read<number>('sequence');
    await this.charting.open(seal);
    this.listen();
    setInterval(() => news.tick(), 5_000);
    setInterval(() => void this.turn(), tickEvery);
    this.about = await this.seenAbout();
    session.demo = this.about.demo;
    session.ward = this.about.ward.unit;
    await ward.catch(() => this.showLastSeen());
    await this.standsAt(news.sequence, seen?.value ?? 0);
    if (news.reachable) this.keepBoard(Object.values(this.states));
    await this.host.load(); // behind what the first screen needs
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
    await this.charting.prune(Date.now() - keptFor);
    await this.snapshot?.forgetBefore(Date.now() - keptFor, (part) => part.startsWith('line-'));
    const entries = await this.charting.onTheirWay();
    const { forgetOrphans } = await pictures();
    await forgetOrphans(Date.now() - day, new Set(entries.flatMap(({ event }) => (event.body.kind === 'photographed' ? [event.body.hash] : []))));
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
    await this.host.load();
    this.loaded = true;
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
    return this.host.call(name, input);
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
    this.dues.drop(); // worked out of what stood before
    this.allDue = withEveryLine(board.due, board.states);
    this.allVisits = board.visits;
    this.loaded = true;
    this.keepBoard(board.states);
    await this.standsAt(board.sequence, known);
    await this.host.follow(board.policy);
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
    await this.charting.giveAgain(() => true);
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
    await this.charting.count();
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
    const latest = this.fetches.get(id) ?? new Latest();
    this.fetches.set(id, latest);
    const told = getText(address).catch(async (error: unknown) => {
      if (error instanceof OtherAnswer && error.status === 404) await this.charting.giveAgain((entry) => entry.event.line === id && (entry.settled_at ?? asked) < asked);
      throw error;
    });
    const answer = await latest.of(told);
    const { state, events, set_aside: setAside, earlier = 0 } = answerOf('GET /api/lines/{line}', answer ?? (await told));
    if (answer === null) return this.states[id] ?? state; // asked again meanwhile, and shown or on its way
    this.states = { ...this.states, [id]: state };
    this.setAside = { ...this.setAside, [id]: setAside };
    this.earlier = { ...this.earlier, [id]: earlier };
    if (earlier === 0) {
      this.events.set(id, events);
      void this.snapshot?.keep(`line-${id}`, events);
      const there = new Set([...events, ...setAside].map((one) => one.id));
      await this.charting.giveAgain((entry) => entry.event.line === id && (entry.settled_at ?? asked) < asked && !there.has(entry.id));
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
  record(line: string, bodies: Charted[], deviationReason?: string, form?: { goes: (way: Way) => Promise<void> }): Promise<FieldError[]> {
    return this.charting.record(line, bodies, deviationReason, form);
  }

  /**
   * Charts a picture: it lies on this device, then the server keeps it under its hash, and the hash is charted like any other
   * fact. Without a network both wait on this device.
   */
  chartPicture(line: string, picture: Blob): Promise<FieldError[]> {
    return this.charting.chartPicture(line, picture);
  }

  /** Entries that the server did not take: still on this device, with its reasons. */
  refusedHere(): Promise<Entry[]> {
    return this.charting.refusedHere();
  }
  discardRefused(id: string): Promise<void> {
    return this.charting.discardRefused(id);
  }

  /** Another policy is in force: the library and the engine here follow it. */
  takePolicy(): Promise<void> {
    return this.host.takePolicy();
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
    const answer = await this.dues.of(this.call('care.ward', new Written(`{"states":[${states.join(',')}],${rest}`)));
    if (answer === null || !answer.ok) return;
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
}

export const ward = new Ward();
