// The engine on this device. The module is fetched once, configured with the ward's policy and catalogues, and then
// answers without a network.
import type { Engine } from './engine';
import { readResult, type Result } from './result';

export interface EngineModule {
  engine_call(name: string, json: string): string;
  engine_configure(json: string): string;
}

export type LoadModule = () => Promise<EngineModule>;

/** Loads dwell-core.js (an emscripten ES module whose default export makes an instance) from beside the page. */
export const loadModule: LoadModule = async () => {
  const address = new URL('dwell-core.js', document.baseURI).href;
  const module = (await import(/* @vite-ignore */ address)) as { default: () => Promise<EngineModule> };
  return module.default();
};

export class WasmEngine implements Engine {
  readonly where = 'device';
  private ready: Promise<EngineModule> | undefined;
  private loaded = false;

  /** `library` gives policy and catalogues as JSON text. */
  constructor(
    private readonly library: () => Promise<string>,
    private readonly load: LoadModule = loadModule,
  ) {}

  /** Whether a call would be answered at once, without a download. */
  get isReady(): boolean {
    return this.loaded;
  }

  /** Begins the download, for later. */
  warm(): void {
    void this.module().catch(() => undefined);
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
