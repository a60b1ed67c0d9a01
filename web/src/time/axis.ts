// One time axis for every ribbon on the page: the same moment stands at the same place on each line.
import { day, hour } from './spans';

export const zooms = ['12h', '18h', '24h', '3d', '7d'] as const;
export type Zoom = (typeof zooms)[number];

export interface Axis {
  zoom: Zoom;
  from: number;
  now: number;
  to: number;
}

const reach: Record<Zoom, { back: number; ahead: number }> = {
  '12h': { back: 8 * hour, ahead: 4 * hour },
  '18h': { back: 12 * hour, ahead: 6 * hour },
  '24h': { back: 16 * hour, ahead: 8 * hour },
  '3d': { back: 54 * hour, ahead: 18 * hour },
  '7d': { back: 6 * day, ahead: day },
};

export function isZoom(text: string | undefined): text is Zoom {
  return zooms.some((zoom) => zoom === text);
}

export function makeAxis(zoom: Zoom, now: number): Axis {
  const { back, ahead } = reach[zoom];
  return { zoom, from: now - back, now, to: now + ahead };
}

/** Where a moment stands on an axis `width` wide; moments outside stand at its ends. */
export function place(axis: Axis, width: number, at: number): number {
  const share = (at - axis.from) / (axis.to - axis.from);
  return Math.round(Math.min(1, Math.max(0, share)) * width * 10) / 10;
}

export interface Grid {
  at: number;
  midnight: boolean;
}

/** Full hours (or days) to rule, as close as 44 px allows; local midnights are marked. */
export function grid(axis: Axis, width: number): Grid[] {
  const steps = [1, 2, 3, 4, 6, 12, 24];
  const hoursShown = (axis.to - axis.from) / hour;
  const step = steps.find((hours) => (hours / hoursShown) * width >= 44) ?? 24;
  const lines: Grid[] = [];
  const cursor = new Date(axis.from);
  cursor.setMinutes(0, 0, 0);
  cursor.setHours(Math.floor(cursor.getHours() / step) * step);
  while (cursor.getTime() <= axis.to) {
    if (cursor.getTime() >= axis.from) lines.push({ at: cursor.getTime(), midnight: cursor.getHours() === 0 });
    // Local hours, so that midnight stays midnight when the clocks change.
    const before = cursor.getTime();
    cursor.setHours(cursor.getHours() + step);
    if (cursor.getTime() <= before) cursor.setTime(before + step * hour);
  }
  return lines;
}
