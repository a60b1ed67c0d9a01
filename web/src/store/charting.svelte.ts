// What is charted on this device: made into entries, sent, or kept here until it is sent; and what the server said of it.
import { chartTogether, type Outcome, type Way } from '../record/charting';
import { connection, tend } from '../record/connection.svelte';
import type { Address } from '../record/api';
import { postEvents, type Reply } from '../record/answer';
import { asCharted, newId, schemaVersion, type Entry } from '../record/entry';
import { news } from '../record/news.svelte';
import { Outbox } from '../record/outbox';
import type { Seal } from '../record/sealed';
import { shelfOfThisDevice } from '../record/shelf';
import { session } from '../shell/session.svelte';
import { signed } from '../shell/signed.svelte';
import { text } from '../text/text';
import { momentIso } from '../time/clock';
import type { LineEventIn } from '../engine/generated/shapes';
import type { FieldError } from '../engine/result';

const nobodyCharts: FieldError[] = [{ path: '/author', found: '', expected: 'who is charting' }];
const nowhere = (): FieldError[] => [{ path: '/device', found: text.care.offline.notKept, expected: text.care.offline.keepOtherwise }];
const pictureRefused = (errors: FieldError[]): FieldError[] => errors.map(({ found }) => ({ path: '/body/hash', found, expected: text.care.photo.refused }));
export const pictures = (): Promise<typeof import('../record/pictures')> => import('../record/pictures');

/** A fact as it is charted; with a moment when it happened earlier than now, and the entry that it corrects or takes back. */
export type Charted = LineEventIn['body'] & { happened_at?: string; corrects?: string };

/** What is seen of the lines, as far as it follows from what is charted. */
interface Seen {
  /** Of every entry of the line that is known here. */
  idsOf: (line: string) => string[];
  /** The server has it. */
  isThere: (line: string) => Promise<void>;
  /** It waits on this device. */
  isHere: (line: string) => Promise<void>;
  /** The record stands further back than was known. */
  setBack: () => void;
}

export class Charting {
  /** Entries that are on this device only, oldest first. */
  waiting = $state.raw<Entry[]>([]);
  private outbox: Outbox | undefined;
  /** Entries that are offered to a record once more, which had them before. */
  private readonly again = new Set<string>();

  constructor(private readonly seen: Seen) {}

  async open(seal: Seal): Promise<void> {
    this.outbox = new Outbox(await shelfOfThisDevice('dwell-outbox'), seal, (events) => this.send(events), (event) => this.readyToGo(event));
    tend(this.outbox, ({ waiting }) => (this.waiting = waiting));
  }

  /** Looks again what waits, where nobody told. */
  async count(): Promise<void> {
    this.waiting = (await this.outbox?.census())?.waiting ?? [];
  }

  /** What this device need not keep any longer, as older than a moment. */
  async prune(before: number): Promise<void> {
    await this.outbox?.prune(before);
  }

  /** Of every entry that this device still has to give. */
  async onTheirWay(): Promise<Entry[]> {
    const { waiting = [], refused = [] } = (await this.outbox?.census()) ?? {};
    return [...waiting, ...refused];
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
    if (outcome === 'there') await this.seen.isThere(line).catch(() => undefined);
    if (outcome === 'here') {
      this.waiting = (await this.outbox?.census().catch(() => null))?.waiting ?? this.waiting;
      await this.seen.isHere(line);
    }
    return Array.isArray(outcome) ? outcome : [];
  }

  /** Where events are made: what a person typed is written in one way. */
  private eventsOf(line: string, bodies: Charted[], deviationReason = ''): LineEventIn[] | null {
    const author = session.person;
    if (author === null) return null;
    const at = momentIso();
    const known = [...this.seen.idsOf(line), ...this.waiting.map(({ id }) => id)];
    const events = bodies.map(({ happened_at, corrects, ...body }) => ({
      id: newId(known), line, occurred_at: happened_at ?? at, recorded_at: at, author, device: 'page', schema: schemaVersion, body,
      ...(corrects === undefined ? {} : { corrects }),
      ...(deviationReason === '' ? {} : { deviation_reason: deviationReason }),
    }));
    return asCharted<LineEventIn[]>(events);
  }

  async giveAgain(which: (entry: Entry) => boolean): Promise<void> {
    await this.outbox
      ?.offerAgain((entry) => {
        const isAgain = which(entry);
        if (isAgain) this.again.add(entry.id);
        return isAgain;
      })
      .catch(() => undefined); // at the next look
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
    if (reply.sequence < known) this.seen.setBack();
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
