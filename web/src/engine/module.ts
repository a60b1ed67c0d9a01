// The WebAssembly module of the engine, as texts in and texts out.

export interface EngineModule {
  engine_call(name: string, json: string): string;
  engine_configure(json: string, decimal: string): string;
}

export type LoadModule = () => Promise<EngineModule>;

/** What emscripten gives: C functions that take and give addresses of text. */
interface RawModule {
  _engine_call(name: number, json: number): number;
  _engine_configure(json: number, decimal: number): number;
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

/** Loads one part (an emscripten ES module whose default export makes an instance) from beside the page at `base`. */
export const loadPart = (part: 'first' | 'whole', base: string): LoadModule => async () => {
  const address = new URL(`dwell-${part}.js`, base).href;
  const module = (await import(/* @vite-ignore */ address)) as { default: () => Promise<RawModule> };
  const raw = await module.default();
  return {
    engine_call: (name, json) => speak(raw, raw._engine_call, name, json),
    engine_configure: (json, decimal) => speak(raw, raw._engine_configure, json, decimal),
  };
};
