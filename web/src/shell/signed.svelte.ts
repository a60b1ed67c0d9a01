// Who is signed in at this device, where the server has accounts; without them whoever sits here says who charts (WhoCharts).
import type { AccountsPerson, ServerSessionNow } from '../engine/generated/shapes';
import { answerOf, post } from '../record/api';
import { ask, asksFor, whenTurnedAway } from '../record/ask';
import { keep, readKept } from '../record/kept';
import { readWho } from '../record/who';

/** `none`: the server has no accounts. `unseen`: it has, and could not be asked; what is charted waits on this device. */
export type Door = 'none' | 'unseen' | 'out' | 'locked' | 'in';

const minute = 60_000;
const lookEvery = 10_000;
const clinical: readonly string[] = ['nurse', 'charge_nurse', 'educator'];

class Signed {
  door = $state<Door>('none');
  person = $state.raw<AccountsPerson | null>(null);
  /** Wards of the house that are not hers, and those of them that she opened in an emergency. */
  elsewhere = $state.raw<string[]>([]);
  opened = $state.raw<ServerSessionNow['opened']>([]);
  readonly hasAccounts = $derived(this.door !== 'none');
  /** Whether what is of patients may be shown here. */
  readonly looksAfter = $derived(this.door === 'none' || this.door === 'unseen' || (this.person !== null && clinical.includes(this.person.role)));
  private idle = 10 * minute;
  private touched = Date.now();
  private stayed = Date.now();
  private looking: Promise<void> | undefined;

  /** Whether this device knows the server as one with accounts: then nothing is asked for before it is known who asks. */
  get wasDoor(): boolean {
    return readKept<boolean>('door', 'device') === true;
  }

  async start(): Promise<void> {
    await this.look();
    if (!this.hasAccounts) return;
    whenTurnedAway(() => void this.look());
    for (const kind of ['pointerdown', 'keydown', 'wheel', 'touchstart']) addEventListener(kind, () => (this.touched = Date.now()), { passive: true, capture: true });
    document.addEventListener('visibilitychange', () => void (document.visibilityState === 'visible' && this.look()));
    setInterval(() => void this.turn(), lookEvery);
  }

  /** Asks the server who is signed in. Calls made meanwhile share the one answer. */
  look(): Promise<void> {
    return (this.looking ??= this.asked().finally(() => (this.looking = undefined)));
  }

  private async asked(): Promise<void> {
    const answer = await ask('api/session').catch(() => null);
    if (answer === null || !answer.ok) {
      // A nurse without a network charts on; the server looks at it when it is there again.
      if (this.wasDoor && this.door === 'none') this.door = (await readWho().catch(() => null)) === null ? 'out' : 'unseen';
      return;
    }
    this.takeIn(answerOf('GET /api/session', await answer.text()));
  }

  private takeIn(now: ServerSessionNow): void {
    keep('door', 'device', now.has_accounts);
    if (!now.has_accounts) return;
    const before = this.person?.id;
    this.idle = now.idle_minutes * minute;
    this.person = now.person ?? null;
    this.elsewhere = now.elsewhere;
    this.opened = now.opened;
    asksFor(this.person?.id ?? null);
    const is: Door = this.person === null ? 'out' : now.locked ? 'locked' : 'in';
    // Another person, in another tab: nothing of the one before stays in sight.
    if (before !== undefined && before !== this.person?.id) location.reload();
    this.door = is;
  }

  private async turn(): Promise<void> {
    if (this.door !== 'in') return;
    const now = Date.now();
    if (now - this.touched >= this.idle) await this.lock();
    else if (this.touched > this.stayed && now - this.stayed >= minute) {
      this.stayed = now;
      await this.say('api/session/stay');
    }
  }

  private async say(address: 'api/session/stay' | 'api/session/lock' | 'api/session/end' | 'api/session/end-everywhere'): Promise<boolean> {
    return ask(address, { method: 'POST' }).then(
      (answer) => answer.ok,
      () => false,
    );
  }

  /** Covered at once, also where the server does not hear of it: it locks by itself then. */
  async lock(): Promise<void> {
    if (this.door !== 'in') return;
    if (await this.say('api/session/lock')) this.door = 'locked';
  }

  /** What is wrong, by the path of the field; nothing when she is in. */
  async signIn(name: string, password: string): Promise<string | null> {
    return this.entered(await post('POST /api/session', 'api/session', { sign_in: name, password }).catch(() => null));
  }
  async openAgain(pin: string): Promise<string | null> {
    return this.entered(await post('POST /api/session/pin', 'api/session/pin', { pin }).catch(() => null));
  }

  /** By a passkey of this device or a token; `/passkey`: there is none, or it was not used. */
  async signInByPasskey(): Promise<string | null> {
    const asked = await ask('api/session/passkey/begin', { method: 'POST' }).catch(() => null);
    if (asked === null || !asked.ok) return '/server';
    const { usePasskey } = await import('./passkey');
    const used = await usePasskey(answerOf('POST /api/session/passkey/begin', await asked.text()));
    if (used === null) return '/passkey';
    return this.entered(await post('POST /api/session/passkey', 'api/session/passkey', used).catch(() => null));
  }

  private async entered(answer: Response | null): Promise<string | null> {
    if (answer === null) return '/server';
    if (answer.ok) {
      this.touched = this.stayed = Date.now();
      this.takeIn(answerOf('POST /api/session', await answer.text()));
      return null;
    }
    const { errors = [] } = (await answer.json().catch(() => ({}))) as { errors?: { path: string }[] };
    const path = errors[0]?.path ?? '/server';
    if (path === '/session') await this.look();
    return path;
  }

  /** Opens another ward in an emergency: what is wrong, by the path of the field; nothing when it is open. */
  async openWard(name: string, reason: string): Promise<string | null> {
    return this.entered(await post('POST /api/session/ward', 'api/session/ward', { ward: name, reason }).catch(() => null));
  }

  async signOut(everywhere = false): Promise<boolean> {
    return this.say(everywhere ? 'api/session/end-everywhere' : 'api/session/end');
  }
}

export const signed = new Signed();
