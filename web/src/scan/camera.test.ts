import { describe, expect, it, vi } from 'vitest';
import { middle, openCamera } from './camera';

class Track extends EventTarget {
  stopped = false;
  applied: unknown = null;
  constructor(private readonly can: { torch?: boolean }) {
    super();
  }
  getCapabilities = (): { torch?: boolean } => this.can;
  applyConstraints = (wanted: unknown): Promise<void> => {
    this.applied = wanted;
    return this.can.torch ? Promise.resolve() : Promise.reject(new Error('no light'));
  };
  stop = (): void => void (this.stopped = true);
}
/** A device with one camera, and what was asked of it. */
function device(track: Track) {
  const stream = { getTracks: () => [track], getVideoTracks: () => [track] } as unknown as MediaStream;
  return { getUserMedia: vi.fn((_: MediaStreamConstraints | undefined) => Promise.resolve(stream)) };
}

describe('the camera', () => {
  it('that looks away from the person is asked for, without sound', async () => {
    const devices = device(new Track({}));
    expect((await openCamera(() => undefined, devices)).ok).toBe(true);
    expect(devices.getUserMedia.mock.calls[0]?.[0]).toMatchObject({ audio: false, video: { facingMode: { ideal: 'environment' } } });
  });
  it('has a light when the device says so', async () => {
    for (const torch of [true, false]) {
      const track = new Track({ torch });
      const opened = await openCamera(() => undefined, device(track));
      if (!opened.ok) throw new Error(opened.why);
      expect(opened.camera.hasLight).toBe(torch);
      expect(await opened.camera.light(true)).toBe(torch);
      expect(track.applied).toEqual({ advanced: [{ torch: true }] });
    }
  });
  it('is let go by stop, and tells when it goes by itself', async () => {
    const track = new Track({});
    const gone = vi.fn();
    const opened = await openCamera(gone, device(track));
    track.dispatchEvent(new Event('ended'));
    expect(gone).toHaveBeenCalledOnce();
    if (opened.ok) opened.camera.stop();
    expect(track.stopped).toBe(true);
    track.dispatchEvent(new Event('ended'));
    expect(gone).toHaveBeenCalledOnce();
  });
  it('that is not to be had says why', async () => {
    const why = async (name: string): Promise<unknown> =>
      openCamera(() => undefined, { getUserMedia: () => Promise.reject(new DOMException('', name)) });
    expect(await why('NotAllowedError')).toEqual({ ok: false, why: 'refused' });
    expect(await why('NotFoundError')).toEqual({ ok: false, why: 'absent' });
    expect(await why('NotReadableError')).toEqual({ ok: false, why: 'busy' });
    expect(await why('UnknownError')).toEqual({ ok: false, why: 'failed' });
    expect(await openCamera(() => undefined, undefined)).toEqual({ ok: false, why: 'insecure' });
  });
});

it('reads the middle of the picture in the shape that is shown', () => {
  expect(middle(640, 480, 4 / 3, 1280)).toEqual({ x: 0, y: 0, width: 640, height: 480, across: 640, down: 480 });
  expect(middle(1920, 1080, 4 / 3, 1280)).toEqual({ x: 240, y: 0, width: 1440, height: 1080, across: 1280, down: 960 });
  expect(middle(1080, 1920, 4 / 3, 1280)).toEqual({ x: 0, y: 555, width: 1080, height: 810, across: 1080, down: 810 });
});
