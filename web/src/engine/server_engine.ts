// The engine on the server, for a device that cannot run its own.
import type { Address } from '../record/api';
import { ask as fromPage } from '../record/ask';
import type { Decimal, Engine, FunctionName, Input, Output } from './engine';
import { readResult, type Result } from './result';
import { written, type Written } from './written';

export class ServerEngine implements Engine {
  readonly where = 'server';

  constructor(
    private readonly decimal: Decimal,
    private readonly ask: typeof fetch = (...args) => fromPage(...args),
  ) {}

  async call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    const address: Address<'POST /api/engine/{function}'> = `api/engine/${encodeURIComponent(name)}?decimal=${this.decimal}`;
    const answer = await this.ask(address, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
      body: written(input),
    });
    // 422 carries field errors in the same envelope; anything else is no answer of the engine.
    if (!answer.ok && answer.status !== 422) throw new Error(`the server answered ${answer.status}`);
    return readResult<Output<Name>>(await answer.text());
  }
}
