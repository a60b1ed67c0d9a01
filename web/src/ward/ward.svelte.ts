// The ward on this device: the lines as the server last gave them, what falls due by the engine here, and the way to
// chart a fact. Every screen reads from this one place.
import { DeviceOnceReady, type Engine } from '../engine/engine';
import type { FieldError, Result } from '../engine/result';
import { ServerEngine } from '../engine/server_engine';
import { WasmEngine } from '../engine/wasm_engine';
import { connection, tend } from '../record/connection.svelte';
import { newId, schemaVersion, type LineEvent } from '../record/entry';
import { listen } from '../record/live';
import { Outbox } from '../record/outbox';
import { session } from '../shell/session.svelte';
import type { About, Library, LineDue, State, Visit } from './shapes';

const tickEvery = 30_000;
const chartingKey = 'dwell.charting';

async function getText(address: string): Promise<string> {
  const answer = await fetch(address, { headers: { Accept: 'application/json' } });
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.text();
}

class Ward {
  states = $state.raw<Record<string, State>>({});
  due = $state.raw<LineDue[]>([]);
  visits = $state.raw<Visit[]>([]);
  now = $state(Date.now());
  loaded = $state(false);
  unreachable = $state(false);
  about = $state.raw<About | null>(null);
  library = $state.raw<Library | null>(null);

  private libraryText: Promise<string> | undefined;
  private outbox: Outbox | undefined;
  private readonly engine: Engine = new DeviceOnceReady(new WasmEngine(() => this.readLibrary()), new ServerEngine());

  async start(): Promise<void> {
    session.person = sessionStorage.getItem(chartingKey);
    this.outbox = await Outbox.open('dwell', (events) => this.send(events));
    tend(this.outbox);
    listen(['entries'], () => void this.refresh(), (connected) => (connection.connected = connected));
    setInterval(() => void this.tick(), tickEvery);
    this.about = JSON.parse(await getText('api/about')) as About;
    session.demo = this.about.demo;
    session.ward = this.about.ward.unit;
    this.library = JSON.parse(await this.readLibrary()) as Library;
    await this.refresh();
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
    const answer = JSON.parse(await getText('api/ward')) as { states: State[] };
    this.states = Object.fromEntries(answer.states.map((one) => [one.id, one]));
    await this.tick();
    this.loaded = true;
  }

  /** A line that is closed is no longer on the ward's list; it is fetched alone. */
  async fetchLine(id: string): Promise<State> {
    const answer = JSON.parse(await getText(`api/lines/${encodeURIComponent(id)}`)) as { state: State };
    this.states = { ...this.states, [id]: answer.state };
    return answer.state;
  }

  /**
   * Charts facts of one line, together or not at all. Returns what the server found wrong: then nothing was charted and
   * the form still holds what was typed. Without a network the entries wait on this device; a resend is harmless.
   */
  async record(line: string, bodies: LineEvent['body'][], deviationReason?: string): Promise<FieldError[]> {
    const author = session.person;
    if (this.outbox === undefined || author === null) return [{ path: '/author', found: '', expected: 'who is charting' }];
    const at = new Date().toISOString();
    const events: LineEvent[] = bodies.map((body) => ({
      id: newId(), line, occurred_at: at, recorded_at: at, author, device: 'page', schema: schemaVersion, body,
      ...(deviationReason ? { deviation_reason: deviationReason } : {}),
    }));
    try {
      const errors = await this.post(events);
      if (errors !== null) return errors;
    } catch {
      for (const event of events) await this.outbox.add(event);
      return [];
    }
    await this.fetchLine(line);
    await this.tick();
    return [];
  }

  private async tick(): Promise<void> {
    this.now = Date.now();
    const answer = await this.call<{ lines: LineDue[]; visits: Visit[] }>('care.ward', {
      states: Object.values(this.states).filter((one) => one.stage !== 'closed'),
      now: new Date(this.now).toISOString(),
    });
    if (!answer.ok) return;
    this.due = answer.value.lines;
    this.visits = answer.value.visits;
  }

  private readLibrary(): Promise<string> {
    this.libraryText ??= getText('api/library').catch((error: unknown) => {
      this.libraryText = undefined;
      throw error;
    });
    return this.libraryText;
  }

  /** Null when all were taken, the reasons when refused; rejects when the server cannot be reached. */
  private async post(events: LineEvent[]): Promise<FieldError[] | null> {
    const answer = await fetch('api/events', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(events),
    });
    if (answer.ok) return null;
    if (answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
    return ((await answer.json()) as { errors: FieldError[] }).errors;
  }

  /** What waited on this device, one at a time, so that one wrong entry does not hold up the others. */
  private async send(events: LineEvent[]): Promise<{ id: string; errors: FieldError[] }[]> {
    const settled = [];
    for (const event of events) settled.push({ id: event.id, errors: (await this.post([event])) ?? [] });
    return settled;
  }
}

export const ward = new Ward();
