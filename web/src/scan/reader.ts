// From one picture to the codes in it, written as a hand scanner would type them. For whoever holds a picture: the
// camera's worker, a test. What a code means is the engine's to say (`supply.check`).
import { prepareZXingModule, readBarcodes, type ReaderOptions, type ReadResult } from 'zxing-wasm/reader';

export interface Found {
  /** Kind of code and its content, "]d2" + "0109…" + GS + "21…"; an address or another body's code as it is. */
  text: string;
  /** An element string as packs carry it, and not a link to instructions, a shelf code or a number of some other kind. */
  gs1: boolean;
}

const options = {
  formats: ['DataMatrix', 'Code128', 'QRCode', 'EAN13', 'ITF14'],
  textMode: 'Plain', // the separators as bytes, no brackets
  tryHarder: true,
  tryRotate: true,
  tryInvert: true, // laser marks are light on dark
  minLineCount: 3, // a striped code must read alike on three lines: its own check figure is weak
  maxNumberOfSymbols: 8,
} as const satisfies Omit<ReaderOptions, 'formats'> & { formats: readonly string[] };

// Oblong matrix codes call themselves ]d8; to the engine an element string is an element string.
const elementString: Partial<Record<ReadResult['symbology'], string>> = { DataMatrix: ']d2', Code128: ']C1', QRCode: ']Q3' };

/** Where the reader's WebAssembly comes from: an address on the page's own server, or the bytes. Before the first read. */
export async function prepareReader(from: { address: string } | { bytes: ArrayBuffer }): Promise<void> {
  const overrides = 'address' in from ? { locateFile: () => from.address } : { wasmBinary: from.bytes };
  await prepareZXingModule({ overrides, fireImmediately: true });
}

function written(one: ReadResult): Found {
  const prefix = one.contentType === 'GS1' ? elementString[one.symbology] : undefined;
  if (prefix !== undefined) return { text: prefix + one.text, gs1: true };
  // The engine knows these by how they begin. Digits without their kind could pass for an element string.
  return { text: /^(https?:|[+=])/i.test(one.text) ? one.text : one.symbologyIdentifier + one.text, gs1: false };
}

function fromMiddle(one: ReadResult, frame: ImageData): number {
  const { topLeft, topRight, bottomRight, bottomLeft } = one.position;
  const corners = [topLeft, topRight, bottomRight, bottomLeft];
  const mean = (values: number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
  return Math.hypot(mean(corners.map((p) => p.x)) - frame.width / 2, mean(corners.map((p) => p.y)) - frame.height / 2);
}

/** The codes of one frame: element strings first, then those nearest the middle, where the nurse aims. */
export async function readFrame(frame: ImageData): Promise<Found[]> {
  const read = (await readBarcodes(frame, { ...options, formats: [...options.formats] })).filter((one) => one.isValid && one.text !== '');
  return read
    .map((one) => ({ ...written(one), far: fromMiddle(one, frame) }))
    .sort((a, b) => Number(b.gs1) - Number(a.gs1) || a.far - b.far)
    .map(({ text, gs1 }) => ({ text, gs1 }));
}
