// The device's camera, the one that looks away from the person. Whoever opens it stops it.

export type CameraTrouble = 'refused' | 'absent' | 'busy' | 'insecure' | 'failed';
export interface Camera {
  readonly stream: MediaStream;
  readonly hasLight: boolean;
  /** Whether the light is as wanted now. */
  light(on: boolean): Promise<boolean>;
  stop(): void;
}
export type Opened = { ok: true; camera: Camera } | { ok: false; why: CameraTrouble };

// Known to phones, not yet to TypeScript's library.
type WithTorch<T> = T & { torch?: boolean };

const troubles: Record<string, CameraTrouble> = {
  NotAllowedError: 'refused', SecurityError: 'refused', NotFoundError: 'absent', OverconstrainedError: 'absent',
  NotReadableError: 'busy', AbortError: 'busy',
};

/** `onended` is told when the camera goes away by itself: unplugged, or taken back by the device. */
export async function openCamera(onended: () => void, devices: Pick<MediaDevices, 'getUserMedia'> | undefined = navigator.mediaDevices): Promise<Opened> {
  if (devices === undefined) return { ok: false, why: 'insecure' };
  let stream: MediaStream;
  try {
    // Small codes need many points: a module of a quarter of a millimetre should cover three.
    stream = await devices.getUserMedia({ audio: false, video: { facingMode: { ideal: 'environment' }, width: { ideal: 1920 }, height: { ideal: 1080 } } });
  } catch (error) {
    return { ok: false, why: troubles[error instanceof Error ? error.name : ''] ?? 'failed' };
  }
  const tracks = stream.getTracks();
  for (const track of tracks) track.addEventListener('ended', onended);
  const video = stream.getVideoTracks()[0];
  const can: WithTorch<MediaTrackCapabilities> = video?.getCapabilities?.() ?? {};
  return {
    ok: true,
    camera: {
      stream,
      hasLight: can.torch === true,
      light: async (on) => {
        const wanted: WithTorch<MediaTrackConstraintSet> = { torch: on };
        return video === undefined ? false : video.applyConstraints({ advanced: [wanted] }).then(() => true, () => false);
      },
      stop: () => {
        for (const track of tracks) {
          track.removeEventListener('ended', onended);
          track.stop();
        }
      },
    },
  };
}

export interface Cut {
  x: number;
  y: number;
  width: number;
  height: number;
  /** Size of the picture that is read. */
  across: number;
  down: number;
}
/** The middle of a picture in the shape of the viewfinder, so that what is read is what is shown; made small if large. */
export function middle(width: number, height: number, shape: number, longest: number): Cut {
  const wide = Math.min(width, height * shape);
  const high = wide / shape;
  const share = Math.min(1, longest / Math.max(wide, high));
  return { x: (width - wide) / 2, y: (height - high) / 2, width: wide, height: high, across: Math.round(wide * share), down: Math.round(high * share) };
}

const longestEdge = 1280;

/** What the viewfinder shows now; null while the camera has no picture yet. */
export function grab(video: HTMLVideoElement, shape: number, canvas: HTMLCanvasElement): ImageData | null {
  if (video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA || video.videoWidth === 0) return null;
  const cut = middle(video.videoWidth, video.videoHeight, shape, longestEdge);
  if (canvas.width !== cut.across) canvas.width = cut.across;
  if (canvas.height !== cut.down) canvas.height = cut.down;
  const pen = canvas.getContext('2d', { willReadFrequently: true });
  pen?.drawImage(video, cut.x, cut.y, cut.width, cut.height, 0, 0, cut.across, cut.down);
  return pen?.getImageData(0, 0, cut.across, cut.down) ?? null;
}

/** Felt through a glove: short for yes, three times for no. */
export function buzz(good: boolean): void {
  if ('vibrate' in navigator) navigator.vibrate(good ? 60 : [90, 60, 90, 60, 90]);
}
