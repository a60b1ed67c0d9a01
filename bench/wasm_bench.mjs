// The browser's engine beside the native one, in one run: the same functions, the same text in, the same text out.
//   node bench/wasm_bench.mjs BUILD_FOLDER [FOLDER_OF_THE_BROWSERS_ENGINE]
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const build = resolve(process.argv[2] ?? 'build/release');
const limit = 3;

// The loader was written for older modules: under Node.js it looks for these two.
const loader = resolve(process.argv[3] ?? `${build}/wasm/wasm`, 'dwell-whole.js');
globalThis.require = createRequire(import.meta.url);
globalThis.__dirname = dirname(loader);
const { default: load } = await import(pathToFileURL(loader));
const module = await load({ wasmBinary: readFileSync(loader.replace(/js$/, 'wasm')) });

function text(pointer) {
  return module.UTF8ToString(pointer);
}

function withTexts(texts, use) {
  const pointers = texts.map((one) => module.allocateUTF8(one));
  try {
    return use(...pointers);
  } finally {
    pointers.forEach((pointer) => module._free(pointer));
  }
}

const library = execFileSync(`${build}/dwell`, ['policy', 'library'], { encoding: 'utf8', maxBuffer: 1 << 26 });
const configured = withTexts([library, 'point'], (pointer, sign) => text(module._engine_configure(pointer, sign)));
if (!configured.startsWith('{"ok":true')) throw new Error(`the library was refused: ${configured.slice(0, 300)}`);

const input = (name) => readFileSync(`examples/engine/${name}.json`, 'utf8');

function nanosecondsInWasm(name, text_in) {
  const once = () => withTexts([name, text_in], (a, b) => module._engine_call(a, b));
  if (!text(once()).startsWith('{"ok":true')) throw new Error(`${name} was refused`);
  let calls = 0;
  const began = process.hrtime.bigint();
  let spent = 0n;
  while (spent < 200_000_000n) {
    for (let i = 0; i < 20; ++i) once();
    calls += 20;
    spent = process.hrtime.bigint() - began;
  }
  return Number(spent) / calls;
}

function nanosecondsNative() {
  const run = execFileSync(`${build}/bench/plan_bench`, ['--benchmark_filter=BM_CallText', '--benchmark_format=json', '--benchmark_min_time=0.1'], {
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'ignore'],
  });
  return new Map(
    JSON.parse(run).benchmarks.map(({ name, real_time: time, error_message: failure }) => {
      if (failure) throw new Error(`${name}: ${failure}`);
      return [name.split('/')[1], time];
    }),
  );
}

// Turn about, so that a busy moment of the machine meets both; the least of each is what the code costs.
const rounds = 5;
const native = new Map();
const wasm = new Map();
const least = (times, name, time) => times.set(name, Math.min(time, times.get(name) ?? Infinity));
for (let round = 0; round < rounds; ++round) {
  for (const [name, time] of nanosecondsNative()) least(native, name, time);
  for (const name of native.keys()) least(wasm, name, nanosecondsInWasm(name, input(name)));
}
for (const [name, time] of native) {
  const times = wasm.get(name) / time;
  console.log(
    `bench ${name}: native ${(time / 1000).toFixed(1)} us, WebAssembly ${(wasm.get(name) / 1000).toFixed(1)} us, ` +
      `${times.toFixed(2)} times (limit ${limit}, share ${(times / limit).toFixed(2)})`,
  );
}
