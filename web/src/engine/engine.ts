// The page asks the same engine in two ways: on this device (WebAssembly) or on the server. Screens know only this.
import type { Result } from './result';

export interface Engine {
  readonly where: 'device' | 'server';
  /** Calls a named function, for example call('dosing.rate', {…}). Rejects only when no engine could be reached. */
  call<T>(name: string, input: unknown): Promise<Result<T>>;
}

/** Uses the first engine that can be reached: the device's own, else the server's. */
export class FirstOf implements Engine {
  constructor(private readonly engines: readonly [Engine, ...Engine[]]) {}

  get where(): 'device' | 'server' {
    return this.engines[0].where;
  }

  async call<T>(name: string, input: unknown): Promise<Result<T>> {
    let failure: unknown;
    for (const engine of this.engines) {
      try {
        return await engine.call<T>(name, input);
      } catch (error) {
        failure = error;
      }
    }
    throw failure;
  }
}

/** Answers from the server until the device's own engine has come, so that the first screen need not wait for it. */
export class DeviceOnceReady implements Engine {
  private warming = false;

  constructor(
    private readonly device: Engine & { readonly isReady: boolean; warm(): void },
    private readonly server: Engine,
    /** When the download begins: once the first screen has had its turn. */
    private readonly later: (work: () => void) => void = (work) => void setTimeout(work, 3_000),
  ) {}

  get where(): 'device' | 'server' {
    return this.device.isReady ? 'device' : 'server';
  }

  async call<T>(name: string, input: unknown): Promise<Result<T>> {
    if (this.device.isReady) return this.device.call<T>(name, input);
    try {
      return await this.server.call<T>(name, input);
    } catch {
      return this.device.call<T>(name, input);
    } finally {
      if (!this.warming) this.later(() => this.device.warm());
      this.warming = true;
    }
  }
}
