// The reader at work in a worker of its own: fetched when the camera is opened, gone when it is closed.
import type { Found } from './reader';
import type { Read } from './reader_worker';

export interface FrameReader {
  /** One frame at a time. Fails when the reader could not be fetched or started. */
  read(frame: ImageData): Promise<Found[]>;
  stop(): void;
}

export function startReader(): FrameReader {
  const worker = new Worker(new URL('./reader_worker.ts', import.meta.url), { type: 'module' });
  return {
    read: (frame) =>
      new Promise((resolve, reject) => {
        worker.onmessage = ({ data }: MessageEvent<Read>) => {
          if (data.found === undefined) reject(new Error(data.failure ?? 'the reader failed'));
          else resolve(data.found);
        };
        worker.onerror = () => reject(new Error('the reader could not be started'));
        worker.postMessage(frame, [frame.data.buffer]);
      }),
    stop: () => worker.terminate(),
  };
}
