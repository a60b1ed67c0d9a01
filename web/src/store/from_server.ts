// Reading from the server: with patience, and with word of whether it is there.
import { answerOf, type Address, type Answer, type Route } from '../record/api';
import { ask } from '../record/ask';
import { connection } from '../record/connection.svelte';

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
export class OtherAnswer extends Error {
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
