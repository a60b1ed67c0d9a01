// Reads frames beside the page, so that a tap never waits for a picture.
import address from 'zxing-wasm/reader/zxing_reader.wasm?url';
import { prepareReader, readFrame, type Found } from './reader';

export interface Read {
  found?: Found[];
  failure?: string;
}

const ready = prepareReader({ address: new URL(address, self.location.href).href });

addEventListener('message', (event: MessageEvent<ImageData>) => {
  ready
    .then(() => readFrame(event.data))
    .then((found) => postMessage({ found } satisfies Read))
    .catch((error: unknown) => postMessage({ failure: String(error) } satisfies Read));
});
