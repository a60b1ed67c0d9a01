// Who charts in this tab, over a reload: sealed like everything else with a name in it. What lies open in the tab is a number.
import { moment } from '../time/clock';
import { asCharted } from './entry';
import { storeOfThisDevice } from './snapshot';

const tabKey = 'dwell.tab';
/** From before names were sealed: taken over once, and removed. */
const plainKey = 'dwell.charting';
const shift = 12 * 3_600_000;

const openStore = storeOfThisDevice('dwell-who');

export async function keepWho(person: string | null): Promise<void> {
  const tab = sessionStorage.getItem(tabKey) ?? crypto.randomUUID();
  if (person === null) sessionStorage.removeItem(tabKey);
  else sessionStorage.setItem(tabKey, tab);
  const store = await openStore();
  await (person === null ? store.forget(tab) : store.keep(tab, person, moment()));
  void store.forgetBefore(moment() - shift).catch(() => undefined); // of other tabs; nobody waits for it
}

/** Null when nobody charted here within a shift. */
export async function readWho(): Promise<string | null> {
  const plain = sessionStorage.getItem(plainKey);
  if (plain !== null) {
    await keepWho(asCharted(plain));
    sessionStorage.removeItem(plainKey);
  }
  const tab = sessionStorage.getItem(tabKey);
  if (tab === null) return null;
  const seen = await (await openStore()).read<string>(tab);
  return seen === null || seen.at < moment() - shift ? null : seen.value;
}
