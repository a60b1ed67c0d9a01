// Codes written by the library's writer, read back by ours, and compared with what was written.
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { beforeAll, describe, expect, it } from 'vitest';
import { prepareZXingModule as prepareWriter, writeBarcode, type WriterOptions } from 'zxing-wasm/writer';
import { prepareReader, readFrame } from './reader';

const require = createRequire(import.meta.url);
async function bytes(file: string): Promise<ArrayBuffer> {
  const { buffer, byteOffset, byteLength } = await readFile(require.resolve(`zxing-wasm/${file}`));
  return (buffer as ArrayBuffer).slice(byteOffset, byteOffset + byteLength);
}

beforeAll(async () => {
  prepareWriter({ overrides: { wasmBinary: await bytes('writer/zxing_writer.wasm') } });
  await prepareReader({ bytes: await bytes('reader/zxing_reader.wasm') });
});

interface Placed {
  text: string;
  format: NonNullable<WriterOptions['format']>;
  options?: string;
  /** Where its middle lies, points a module, turn in degrees. */
  at?: [number, number];
  module?: number;
  turn?: number;
}
const width = 640;
const height = 480;

/** A grey picture with codes on it, each turned as a hand would hold the pack, on a white label. */
async function picture(...codes: Placed[]): Promise<ImageData> {
  const data = new Uint8ClampedArray(width * height * 4).fill(190);
  for (const { text, format, options = '', at: [midX, midY] = [width / 2, height / 2], module = 5, turn = 0 } of codes) {
    const { symbol, error } = await writeBarcode(text, { format, options, scale: 1, addQuietZones: false });
    expect(error).toBe('');
    const cos = Math.cos((turn * Math.PI) / 180);
    const sin = Math.sin((turn * Math.PI) / 180);
    for (let y = 0; y < height; y++)
      for (let x = 0; x < width; x++) {
        const dx = x + 0.5 - midX;
        const dy = y + 0.5 - midY;
        const column = Math.floor((dx * cos + dy * sin) / module + symbol.width / 2);
        const row = Math.floor((dy * cos - dx * sin) / module + symbol.height / 2);
        const quiet = 4;
        if (column < -quiet || row < -quiet || column >= symbol.width + quiet || row >= symbol.height + quiet) continue;
        const inside = column >= 0 && row >= 0 && column < symbol.width && row < symbol.height;
        data.fill(inside && symbol.data[row * symbol.width + column] === 0 ? 30 : 235, (y * width + x) * 4, (y * width + x) * 4 + 3);
      }
  }
  return { data, width, height, colorSpace: 'srgb' } as ImageData;
}

const pack = '(01)09506000134352(17)280531(10)LOT-C3(21)S0042';
const raw = '01095060001343521728053110LOT-C3\x1d21S0042';
const square = { format: 'DataMatrix', options: 'gs1,forceSquare' } as const;

describe('what a pack carries comes out as a hand scanner would type it', () => {
  it('square matrix code, with its separator', async () => {
    expect(await readFrame(await picture({ text: pack, ...square }))).toEqual([{ text: `]d2${raw}`, gs1: true }]);
  });
  it('turned by any angle', async () => {
    for (const turn of [7, 45, 90, 133, 180, 260])
      expect(await readFrame(await picture({ text: pack, ...square, module: 6, turn })), `${turn}°`).toEqual([{ text: `]d2${raw}`, gs1: true }]);
  });
  it('oblong matrix code', async () => {
    expect(await readFrame(await picture({ text: pack, format: 'DataMatrix', options: 'gs1' }))).toEqual([{ text: `]d2${raw}`, gs1: true }]);
  });
  it('striped code', async () => {
    expect(await readFrame(await picture({ text: '(01)09506000134352(17)280531(10)C3', format: 'Code128', options: 'gs1', module: 2 }))).toEqual([
      { text: ']C101095060001343521728053110C3', gs1: true },
    ]);
  });
  it('quick response code', async () => {
    expect(await readFrame(await picture({ text: pack, format: 'QRCode', options: 'gs1' }))).toEqual([{ text: `]Q3${raw}`, gs1: true }]);
  });
});

describe('what is no element string keeps its kind, so that it cannot pass for one', () => {
  it('shelf code', async () => {
    expect(await readFrame(await picture({ text: '9506000134352', format: 'EAN13', module: 3 }))).toEqual([{ text: ']E09506000134352', gs1: false }]);
  });
  it('a number of the house that begins like a lot', async () => {
    expect(await readFrame(await picture({ text: '10280531', format: 'Code128', module: 3 }))).toEqual([{ text: ']C010280531', gs1: false }]);
  });
  it('an address, and another body’s code, as they are', async () => {
    for (const text of ['https://example.com/01/09506000134352?17=280531', '+A99912345/$$52001510X3C'])
      expect(await readFrame(await picture({ text, format: 'QRCode' }))).toEqual([{ text, gs1: false }]);
  });
});

it('puts element strings first, then what is nearest the middle', async () => {
  const found = await readFrame(
    await picture(
      { text: 'https://example.com/use', format: 'QRCode', module: 4 },
      { text: '(01)09506000134352(17)280531(10)FAR', ...square, at: [90, 90] },
      { text: '(01)09506000134352(17)280531(10)NEAR', ...square, at: [480, 300] },
    ),
  );
  expect(found.map(({ text }) => text.slice(-8))).toEqual(['3110NEAR', '53110FAR', '.com/use']);
});

it('finds nothing where nothing is', async () => {
  expect(await readFrame(await picture())).toEqual([]);
});
