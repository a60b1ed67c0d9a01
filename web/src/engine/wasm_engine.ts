// The engine on this device. The module is fetched once, configured with the ward's policy and catalogues, and then
// answers without a network.
import type { Engine } from './engine';
import { readResult, type Result } from './result';

export interface EngineModule {
  engine_call(name: string, json: string): string;
  engine_configure(json: string): string;
}

export type LoadModule = () => Promise<EngineModule>;

/** What emscripten gives: C functions that take and give addresses of text. */
interface RawModule {
  _engine_call(name: number, json: number): number;
  _engine_configure(json: number): number;
  _free(address: number): void;
  allocateUTF8(text: string): number;
  UTF8ToString(address: number): string;
}

/** Puts texts into the module's memory for one call and takes them out again. */
function speak(raw: RawModule, call: (...addresses: number[]) => number, ...texts: string[]): string {
  const addresses = texts.map((text) => raw.allocateUTF8(text));
  try {
    return raw.UTF8ToString(call(...addresses));
  } finally {
    for (const address of addresses) raw._free(address);
  }
}

/** Loads one part (an emscripten ES module whose default export makes an instance) from beside the page. */
export const loadPart = (part: 'first' | 'whole'): LoadModule => async () => {
  const address = new URL(`dwell-${part}.js`, document.baseURI).href;
  const module = (await import(/* @vite-ignore */ address)) as { default: () => Promise<RawModule> };
  const raw = await module.default();
  return {
    engine_call: (name, json) => speak(raw, raw._engine_call, name, json),
    engine_configure: (json) => speak(raw, raw._engine_configure, json),
  };
};

export class WasmEngine implements Engine {
  readonly where = 'device';
  private ready: Promise<EngineModule> | undefined;
  private loaded = false;

  /** `library` gives policy and catalogues as JSON text. */
  constructor(
    private readonly library: () => Promise<string>,
    private readonly load: LoadModule,
  ) {}

  /** Whether a call would be answered at once, without a download. */
  get isReady(): boolean {
    return this.loaded;
  }

  /** Begins the download, for later. */
  warm(then: () => void = () => undefined): void {
    void this.module().then(then, () => undefined);
  }

  async call<T>(name: string, input: unknown): Promise<Result<T>> {
    const module = await this.module();
    return readResult<T>(module.engine_call(name, JSON.stringify(input)));
  }

  private module(): Promise<EngineModule> {
    this.ready ??= this.start().catch((error: unknown) => {
      this.ready = undefined; // the next call tries again
      throw error;
    });
    return this.ready;
  }

  private async start(): Promise<EngineModule> {
    const [module, library] = await Promise.all([this.load(), this.library()]);
    const configured = readResult<unknown>(module.engine_configure(library));
    if (!configured.ok) throw new Error(`the engine refused its library: ${JSON.stringify(configured.errors)}`);
    this.loaded = true;
    return module;
  }
}

/**
 * The engine on this device in two parts: a small one with what a nurse needs first, and the whole one, fetched behind it.
 * A function that the small part lacks is remembered and asked of the whole one.
 */
export class TwoParts implements Engine {
  readonly where = 'device';
  private readonly lacking = new Set<string>();

  constructor(
    private readonly first: WasmEngine,
    private readonly whole: WasmEngine,
  ) {}

  /** Whether this function would be answered at once, without a download. */
  isReadyFor(name: string): boolean {
    return this.whole.isReady || (this.first.isReady && !this.lacking.has(name));
  }

  warm(): void {
    this.first.warm(() => this.whole.warm());
  }

  async call<T>(name: string, input: unknown): Promise<Result<T>> {
    if (this.whole.isReady || this.lacking.has(name)) return this.whole.call<T>(name, input);
    const answer = await this.first.call<T>(name, input);
    if (answer.ok || answer.errors[0]?.path !== '/name') return answer;
    this.lacking.add(name);
    return this.whole.call<T>(name, input);
  }
}
