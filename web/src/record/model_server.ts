// For tests: a record, and a server before it that lies, fails and forgets in every way that was thought of. What it says goes
// through the page's own reader of answers, as it would come over the wire.
import { postEvents, type Reply } from './answer';
import type { LineEventIn } from '../engine/generated/shapes';

export const moods = [
  'honest', 'away', 'lost_on_the_way_back', 'busy', 'error', 'page_of_a_proxy', 'cut', 'empty', 'null', 'number', 'old_shape', 'strange_status',
  'names_half', 'keeps_half', 'names_foreign', 'names_nobody', 'refuses_without_reason', 'refuses_foreign', 'contradicts', 'turned_round', 'twice',
  'refuses_by_index_alone',
] as const;
export type Mood = (typeof moods)[number];

const reason = [{ path: '/body/text', found: 'x', expected: 'something else' }];
const answer = (status: number, body: unknown): Response => new Response(typeof body === 'string' ? body : JSON.stringify(body), { status });
const foreign = '00000000-0000-7000-8000-000000000000';

export class ModelServer {
  readonly record = new Map<string, LineEventIn>();
  /** What it never takes, and says why. */
  readonly refuses = new Set<string>();
  /** What it chokes on, whatever else is sent along. */
  readonly poison = new Set<string>();
  requests = 0;
  private sequence = 0;

  /** The record as an older copy had it. Returns the sequence where it stands then. */
  setBack(to: number): number {
    [...this.record.keys()].slice(to).forEach((id) => this.record.delete(id));
    this.sequence = this.record.size;
    return this.sequence;
  }

  send(events: LineEventIn[], mood: Mood): Promise<Reply> {
    this.requests++;
    return postEvents('api/events', events, async () => this.respond(events, mood));
  }

  private respond(events: LineEventIn[], mood: Mood): Response {
    if (mood === 'away') throw new TypeError('Failed to fetch');
    if (mood === 'busy') return new Response('{"ok":false,"errors":[]}', { status: 503, headers: { 'Retry-After': '1' } });
    if (mood === 'error') return answer(500, { ok: false, errors: reason });
    if (mood === 'page_of_a_proxy') return answer(200, '<!doctype html><title>Sign in to the guest network</title>');
    if (events.some(({ id }) => this.poison.has(id))) return answer(500, 'bad_alloc');
    const half = events.slice(0, Math.ceil(events.length / 2));
    const whole = this.keep(mood === 'keeps_half' ? half : events);
    return this.told(events, whole, mood);
  }

  private told(events: LineEventIn[], whole: ReturnType<ModelServer['keep']>, mood: Mood): Response {
    const { written, refused } = whole;
    const nothing = { ...whole, written: [], already_there: [], refused: [] };
    const status = written.length === 0 && refused.length > 0 ? 422 : 200;
    switch (mood) {
      case 'lost_on_the_way_back': throw new TypeError('Failed to fetch');
      case 'cut': return answer(200, JSON.stringify(whole).slice(0, -2));
      case 'empty': return answer(200, '');
      case 'null': return answer(200, 'null');
      case 'number': return answer(422, '7');
      case 'old_shape': return answer(422, { ok: false, errors: events.map((_, at) => ({ ...reason[0], path: `/${at}/body/text` })) });
      case 'strange_status': return answer(207, whole);
      case 'names_half': return answer(status, { ...whole, written: written.slice(1) });
      case 'names_foreign': return answer(200, { ...nothing, written: [foreign], already_there: [foreign] });
      case 'names_nobody': return answer(422, nothing);
      case 'refuses_without_reason': return answer(422, { ...nothing, refused: events.map(({ id }, index) => ({ index, id, errors: [] })) });
      case 'refuses_foreign': return answer(422, { ...nothing, refused: [{ index: 0, id: foreign, errors: reason }] });
      case 'refuses_by_index_alone': return answer(422, { ...nothing, refused: events.map((_, index) => ({ index, id: null, errors: reason })) });
      case 'contradicts': return answer(200, { ...whole, refused: events.map(({ id }, index) => ({ index, id, errors: reason })) });
      case 'turned_round': return answer(status, { ...whole, written: [...written].reverse(), refused: [...refused].reverse() });
      case 'twice': return answer(200, this.keep(events));
      default: return answer(status, whole);
    }
  }

  private keep(events: LineEventIn[]) {
    const refused = events.flatMap(({ id }, index) => (this.refuses.has(id) ? [{ index, id, errors: reason }] : []));
    const taken = events.filter(({ id }) => !this.refuses.has(id));
    const already_there = taken.filter(({ id }) => this.record.has(id)).map(({ id }) => id);
    const written = taken.filter(({ id }) => !this.record.has(id)).map(({ id }) => id);
    for (const event of taken) this.record.set(event.id, event);
    this.sequence = this.record.size;
    return { ok: refused.length < events.length, sequence: this.sequence, written, already_there, refused, said: [] };
  }
}
