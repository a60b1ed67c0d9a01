// The engine's host: the policy that this device works by, the engine here once it is fetched and the server's until then.
import { answered, DeviceOnceReady, type FunctionName, type Input, type Output } from '../engine/engine';
import type { EngineLibrary } from '../engine/generated/shapes';
import type { FieldError, Result } from '../engine/result';
import { ServerEngine } from '../engine/server_engine';
import { inWorker, TwoParts, WasmEngine } from '../engine/wasm_engine';
import type { Written } from '../engine/written';
import { answerOf } from '../record/api';
import type { Snapshot } from '../record/snapshot';
import { languages, text, wantedLanguage } from '../text/text';
import { getText } from './from_server';

const noEngine = (): FieldError[] => [{ path: '/engine', found: text.care.offline.noEngine, expected: text.care.offline.engineOtherwise }];

export class EngineHost {
  library = $state.raw<EngineLibrary | null>(null);
  /** Nothing can be worked out: the last that was asked found no engine, neither here nor at the server. */
  noEngine = $state(false);
  private libraryText: Promise<string> | undefined;
  /** The paper of the policy that the server works by, and of the one that this device works by: null when it is a kept one. */
  private serverPaper = '';
  private ownPaper: string | null = null;
  private engine = this.makeEngine();

  /** `kept`: what this device keeps of the server's, once its store is open. */
  constructor(private readonly kept: () => Snapshot | undefined) {}

  /** Never rejects: where no engine can be reached, that is what is wrong. */
  call<Name extends FunctionName>(name: Name, input: Input<Name> | Written): Promise<Result<Output<Name>>> {
    return answered(this.engine.call(name, input), noEngine, (was) => (this.noEngine = !was));
  }

  /** From the server; else as this device last had it. */
  async load(): Promise<void> {
    this.library = answerOf('GET /api/library', await this.readLibrary());
    this.engine.warm();
  }

  /** The server works by this paper: the engine here follows it at once, or with the next news. */
  async follow(paper: string): Promise<void> {
    this.serverPaper = paper;
    if (this.library !== null && this.ownPaper !== paper) await this.takePolicy().catch(() => undefined);
  }

  private readLibrary(): Promise<string> {
    this.libraryText ??= this.libraryFromServer()
      .catch(async (error: unknown) => {
        const kept = await this.kept()?.read<unknown>('library');
        if (kept === null || kept === undefined) throw error;
        return JSON.stringify(kept.value);
      })
      .catch((error: unknown) => {
        this.libraryText = undefined;
        throw error;
      });
    return this.libraryText;
  }

  private async libraryFromServer(): Promise<string> {
    const paper = this.serverPaper;
    const library = await getText('api/library');
    this.ownPaper = paper;
    void this.kept()?.keep('library', JSON.parse(library));
    return library;
  }

  /** Another policy is in force: the library and the engine here follow it. */
  async takePolicy(): Promise<void> {
    const library = await this.libraryFromServer();
    this.libraryText = Promise.resolve(library);
    this.library = answerOf('GET /api/library', library);
    const before = this.engine;
    this.engine = this.makeEngine();
    before.end();
  }

  private makeEngine(): DeviceOnceReady {
    // The language that the page is about to speak: the engine is made before its words are there.
    const { decimal } = languages[wantedLanguage()];
    const part = (which: 'first' | 'whole'): WasmEngine => new WasmEngine(() => this.readLibrary(), inWorker(which, decimal));
    return new DeviceOnceReady(
      new TwoParts(part('first'), part('whole'), () => (document.documentElement.dataset['engine'] = 'here')), // for whoever waits until the network may go
      new ServerEngine(decimal),
    );
  }
}
