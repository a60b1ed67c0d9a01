// The page asks the same engine in two ways: on this device (WebAssembly) or on the server. Screens know only this.
import type { Functions } from './generated/shapes';
import { refused, type FieldError, type Result } from './result';
import type { Written } from './written';

/** How a language writes decimals: what is typed is read so, and where the ward's policy differs it is a question. */
export type Decimal = 'point' | 'comma';

/** A function of the engine, what it takes and what it gives: as the engine says of itself. */
export type FunctionName = keyof Functions;
export type Input<Name extends FunctionName> = Functions[Name]['input'];
export type Output<Name extends FunctionName> = Functions[Name]['output'];

export interface Engine {
  readonly where: 'device' | 'server';
  /** Calls a named function, for example call('dosing.rate', {…}). Rejects only when no engine could be reached. */
  call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>>;
}

/** Uses the first engine that can be reached: the device's own, else the server's. */
export class FirstOf implements Engine {
  constructor(private readonly engines: readonly [Engine, ...Engine[]]) {}

  get where(): 'device' | 'server' {
    return this.engines[0].where;
  }

  async call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    let failure: unknown;
    for (const engine of this.engines) {
      try {
        return await engine.call(name, input);
      } catch (error) {
        failure = error;
      }
    }
    throw failure;
  }
}

/**
 * What was asked, or, where no engine could be reached, that as what is wrong: whoever asked always has something to show.
 * `reached` is told each time whether there was one.
 */
export async function answered<T>(asked: Promise<Result<T>>, nowhere: () => FieldError[], reached: (was: boolean) => void): Promise<Result<T>> {
  try {
    const answer = await asked;
    reached(true);
    return answer;
  } catch {
    reached(false);
    return refused(nowhere());
  }
}

/** The device's own engine, as far as it has come. */
export interface DeviceEngine extends Engine {
  isReadyFor(name: string): boolean;
  warm(): void;
  /** Another engine takes over: this one answers what it was asked, and goes. */
  end(): void;
}

/** Answers from the server until the device's own engine has come, so that the first screen need not wait for it. */
export class DeviceOnceReady implements Engine {
  readonly where = 'device';
  private warming = false;
  private ended = false;

  constructor(
    private readonly device: DeviceEngine,
    private readonly server: Engine,
    /** When the download begins: once the first screen has had its turn. */
    private readonly later: (work: () => void) => void = (work) => void setTimeout(work, 1_000),
  ) {}

  async call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    const order: [Engine, Engine] = this.device.isReadyFor(name) ? [this.device, this.server] : [this.server, this.device];
    try {
      return await new FirstOf(order).call(name, input);
    } finally {
      this.warm();
    }
  }

  /** Begins the download, once. */
  warm(): void {
    if (!this.warming) this.later(() => (this.ended ? undefined : this.device.warm()));
    this.warming = true;
  }

  end(): void {
    this.ended = true;
    this.device.end();
  }
}
