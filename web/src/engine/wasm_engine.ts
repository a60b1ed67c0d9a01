// The engine on this device. The module is fetched once, configured with the ward's policy and catalogues, and then
// answers without a network.
import type { Decimal, Engine, FunctionName, Input, Output } from './engine';
import type { Answered, Asked } from './engine_worker';
import { readResult, type Result } from './result';
import { written, type Written } from './written';

/** A module that answers by and by: in this page's own time, or in a worker's. */
export interface EngineAtWork {
  configure(json: string): Promise<string>;
  call(name: string, json: string): Promise<string>;
  /** Answers what it was asked, then goes. */
  end(): void;
}
export type StartEngine = () => Promise<EngineAtWork>;

/** Starts one part of the engine in a worker of its own. */
export const inWorker = (part: 'first' | 'whole', decimal: Decimal): StartEngine => () => {
  const worker = new Worker(new URL('./engine_worker.ts', import.meta.url), { type: 'module' });
  const waiting = new Map<number, { resolve: (text: string) => void; reject: (error: Error) => void }>();
  let asked = 0;
  let ends = false;
  const leave = (): void => {
    if (ends && waiting.size === 0) worker.terminate();
  };
  worker.addEventListener('message', ({ data }: MessageEvent<Answered>) => {
    const one = waiting.get(data.id);
    waiting.delete(data.id);
    if (data.text === undefined) one?.reject(new Error(data.failure ?? 'the engine failed'));
    else one?.resolve(data.text);
    leave();
  });
  worker.addEventListener('error', () => {
    for (const one of waiting.values()) one.reject(new Error('the engine could not be started'));
    waiting.clear();
  });
  const ask = (message: Omit<Asked, 'id'>): Promise<string> =>
    new Promise((resolve, reject) => {
      const id = ++asked;
      waiting.set(id, { resolve, reject });
      worker.postMessage({ id, ...message } satisfies Asked);
    });
  return Promise.resolve({
    configure: (json) => ask({ part, base: document.baseURI, decimal, json }),
    call: (name, json) => ask({ name, json }),
    end: () => {
      ends = true;
      leave();
    },
  });
};

export class WasmEngine implements Engine {
  readonly where = 'device';
  private ready: Promise<EngineAtWork> | undefined;
  private names: ReadonlySet<string> | undefined;

  /** `library` gives policy and catalogues as JSON text. */
  constructor(
    private readonly library: () => Promise<string>,
    private readonly begin: StartEngine,
  ) {}

  /** Whether a call would be answered at once, without a download. */
  get isReady(): boolean {
    return this.names !== undefined;
  }

  /** Whether it is here and has this function; only then a call of it is worth the asking. */
  has(name: string): boolean {
    return this.names?.has(name) ?? false;
  }

  /** Resolves once it is here. */
  async come(): Promise<void> {
    await this.module();
  }

  /** Begins the download, for later. */
  warm(then: () => void = () => undefined): void {
    void this.module().then(then, () => undefined);
  }

  end(): void {
    void this.ready?.then((module) => module.end(), () => undefined);
  }

  async call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    const module = await this.module();
    return readResult<Output<Name>>(await module.call(name, written(input)));
  }

  private module(): Promise<EngineAtWork> {
    this.ready ??= this.start().catch((error: unknown) => {
      this.ready = undefined; // the next call tries again
      throw error;
    });
    return this.ready;
  }

  private async start(): Promise<EngineAtWork> {
    const [module, library] = await Promise.all([this.begin(), this.library()]);
    const configured = readResult<string[]>(await module.configure(library));
    if (!configured.ok) throw new Error(`the engine refused its library: ${JSON.stringify(configured.errors)}`);
    this.names = new Set(configured.value);
    return module;
  }
}

/**
 * The engine on this device in two parts: a small one with what a nurse needs first, and the whole one, fetched behind it.
 * Each says which functions it has; what the small part lacks is asked of the whole one.
 */
export class TwoParts implements Engine {
  readonly where = 'device';
  private ended = false;

  constructor(
    private readonly first: WasmEngine,
    private readonly whole: WasmEngine,
    /** Told once this device answers everything by itself. */
    private readonly here: () => void = () => undefined,
  ) {}

  /** Whether this function would be answered at once, without a download. */
  isReadyFor(name: string): boolean {
    return this.whole.isReady || this.first.has(name);
  }

  warm(): void {
    this.first.warm(() => (this.ended ? undefined : this.whole.warm(this.here)));
  }

  end(): void {
    this.ended = true;
    this.first.end();
    this.whole.end();
  }

  async call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    if (!this.whole.isReady) await this.first.come();
    const small = !this.whole.isReady && this.first.has(name);
    return (small ? this.first : this.whole).call(name, input);
  }
}
