// The engine at work beside the page: a long sum never holds up a tap. One worker for each part of the engine; it takes
// texts and gives texts.
import type { Decimal } from './engine';
import { loadPart, type EngineModule } from './module';

export interface Asked {
  id: number;
  /** Which part to load; only the first message has it. */
  part?: 'first' | 'whole';
  base?: string;
  /** How the page's language writes decimals, with the part. */
  decimal?: Decimal;
  name?: string;
  json: string;
}
export interface Answered {
  id: number;
  text?: string;
  failure?: string;
}

let module: Promise<EngineModule> | undefined;

addEventListener('message', (event: MessageEvent<Asked>) => {
  const { id, part, base, decimal, name, json } = event.data;
  if (part !== undefined && base !== undefined) module = loadPart(part, base)();
  const answer = module?.then((engine) => (name === undefined ? engine.engine_configure(json, decimal ?? '') : engine.engine_call(name, json)));
  answer
    ?.then((text) => postMessage({ id, text } satisfies Answered))
    .catch((error: unknown) => postMessage({ id, failure: String(error) } satisfies Answered));
});
