// Where the parts of a ribbon stand. Pure, so that a ward of hundreds of lines is a few paths each.
import { place, type Axis } from '../../time/axis';
import { day } from '../../time/spans';
import type { RibbonBag, RibbonDue, RibbonLine } from './ribbon_line';
import { isAbove } from './ribbon_line';
import { beadOf, symbolOfDue, symbolOfMark, symbolPath, symbols, type SymbolName } from './symbols';

export interface Band {
  /** Of the whole drawing. */
  tall: number;
  top: number;
  height: number;
  above: number;
  below: number;
  r: number;
  /** How thick the bar of a wait is. */
  wait: number;
}

/** In a row of the ward, under the words on a phone, and of one line alone. */
export const rowBand: Band = { tall: 44, top: 15, height: 14, above: 8, below: 36.5, r: 4.6, wait: 3.4 };
export const phoneBand: Band = { tall: 36, top: 12, height: 11, above: 6, below: 29.5, r: 4.4, wait: 3.4 };
export const largeBand: Band = { tall: 92, top: 34, height: 26, above: 18, below: 76, r: 7, wait: 5 };

const n = (value: number): string => String(Math.round(value * 10) / 10);

/** The part of a falling level between two moments, cut in straight lines. */
export function clipLevels(levels: readonly { at: number; share: number }[], from: number, to: number): { at: number; share: number }[] {
  const out: { at: number; share: number }[] = [];
  for (let i = 0; i < levels.length; i++) {
    const here = levels[i];
    const before = levels[i - 1];
    if (!here) continue;
    const between = (moment: number): void => {
      if (before && before.at < moment && here.at > moment) {
        const share = before.share + ((here.share - before.share) * (moment - before.at)) / (here.at - before.at);
        out.push({ at: moment, share });
      }
    };
    between(from);
    if (here.at >= from && here.at <= to) out.push(here);
    between(to);
  }
  return out;
}

/** The fluid in a bag as a wedge that drains along the band. */
export function bagPath(bag: RibbonBag, axis: Axis, width: number, band: Band): string {
  const levels = clipLevels(bag.levels, axis.from, Math.min(axis.to, axis.now));
  const first = levels[0];
  const last = levels.at(-1);
  if (!first || !last) return '';
  const bottom = band.top + band.height;
  const edge = levels.map(({ at, share }) => `L${n(place(axis, width, at))} ${n(bottom - share * band.height)}`).join('');
  return `M${n(place(axis, width, first.at))} ${n(bottom)}${edge}L${n(place(axis, width, last.at))} ${n(bottom)}Z`;
}

/** How the running bag will go on to drain, to its end or the edge of the axis. */
export function forecastPath(bag: RibbonBag, axis: Axis, width: number, band: Band): string {
  const last = bag.levels.at(-1);
  if (!last || bag.emptyAt === null || bag.emptyAt <= axis.now) return '';
  const levels = clipLevels([last, { at: bag.emptyAt, share: 0 }], axis.from, axis.to);
  const bottom = band.top + band.height;
  return levels.map(({ at, share }, i) => `${i === 0 ? 'M' : 'L'}${n(place(axis, width, at))} ${n(bottom - share * band.height)}`).join('');
}

export interface Body {
  path: string;
  /** A notch for each whole day in place. */
  notches: string;
  endX: number;
}

/** The band itself: torn at the left when it began before the axis, capped where the line was placed and removed. */
export function bodyPath(line: RibbonLine, axis: Axis, width: number, band: Band): Body | null {
  if (line.placedAt === null || line.placedAt > axis.to) return null;
  const end = Math.min(line.removedAt ?? axis.now, axis.to);
  if (end < axis.from) return null;
  const left = place(axis, width, line.placedAt);
  const right = Math.max(left + 2, place(axis, width, end));
  const { top, height } = band;
  const bottom = top + height;
  const torn = line.placedAt < axis.from;
  const q = height / 4;
  const leftEdge = torn
    ? `L${n(left)} ${n(bottom)}L${n(left + 4)} ${n(bottom - q)}L${n(left)} ${n(bottom - 2 * q)}L${n(left + 4)} ${n(bottom - 3 * q)}L${n(left)} ${n(top)}`
    : `L${n(left)} ${n(bottom)}L${n(left)} ${n(top)}`;
  let notches = '';
  const skipped = Math.max(1, Math.ceil((axis.from - line.placedAt) / day));
  for (let at = line.placedAt + skipped * day; at < end; at += day) notches += `M${n(place(axis, width, at))} ${n(top)}v${n(height / 3)}`;
  return { path: `M${n(left)} ${n(top)}H${n(right)}V${n(bottom)}${leftEdge}Z`, notches, endX: right };
}

/** All signs of a compact ribbon, one path a kind. What lies outside the axis is left out, save what is late. */
export function signPaths(line: RibbonLine, axis: Axis, width: number, band: Band): { name: SymbolName; path: string }[] {
  const paths = new Map<SymbolName, string>();
  const draw = (name: SymbolName, path: string): void => void paths.set(name, (paths.get(name) ?? '') + path);
  const xOf = (at: number): number => Math.min(width - band.r - 1, Math.max(band.r + 1, place(axis, width, at)));
  const looks: number[] = [];
  for (const mark of line.marks) {
    if (mark.at < axis.from || mark.at > axis.to || mark.corrected === true) continue;
    const name = symbolOfMark(mark);
    if (name === 'sound') looks.push(xOf(mark.at));
    else if (name !== null && name !== 'note' && name !== 'bag') draw(name, symbolPath(name, xOf(mark.at), isAbove(mark.kind) ? band.above : band.below, band.r));
  }
  for (const bead of beadPaths(looks, band)) draw('sound', bead);
  for (const due of line.due) {
    if (due.at > axis.to || (due.at < axis.from && !isLate(due))) continue;
    const name = symbolOfDue(due);
    draw(name, symbolPath(name, xOf(due.at), isAbove(due.task) ? band.above : band.below, band.r));
  }
  return symbols.flatMap((name) => {
    const path = paths.get(name);
    return path === undefined ? [] : [{ name, path }];
  });
}

/** Sound looks that would touch join to one long bead: a gap in it is a gap in the looks. */
export function beadPaths(looks: readonly number[], band: Band): string[] {
  const half = beadOf(band.r);
  const sorted = looks.toSorted((a, b) => a - b);
  const runs: [number, number][] = [];
  for (const x of sorted) {
    const last = runs.at(-1);
    if (last !== undefined && x - last[1] < 2 * half + 2) last[1] = x;
    else runs.push([x, x]);
  }
  const y = band.above;
  return runs.map(([from, to]) =>
    from === to
      ? symbolPath('sound', from, y, band.r)
      : `M${n(from)} ${n(y - half)}H${n(to)}a${n(half)} ${n(half)} 0 0 1 0 ${n(2 * half)}H${n(from)}a${n(half)} ${n(half)} 0 0 1 0 ${n(-2 * half)}Z`,
  );
}

export const isLate = (due: Pick<RibbonDue, 'state'>): boolean => due.state === 'overdue';

/** From the moment a task fell due to now: how long it has been left. What can hurt is drawn apart, and thicker. */
export function latePaths(line: RibbonLine, axis: Axis, width: number, band: Band): { danger: boolean; path: string }[] {
  const paths: { danger: boolean; path: string }[] = [];
  for (const danger of [false, true])
    for (const above of [true, false]) {
      const late = line.due.filter((due) => isLate(due) && isAbove(due.task) === above && (due.level !== 'late') === danger);
      if (late.length === 0) continue;
      const since = n(place(axis, width, Math.min(...late.map((due) => due.at))));
      const more = danger ? 1.8 : 0;
      const y = above ? band.top - band.wait - 0.6 - more : band.top + band.height + 1;
      paths.push({ danger, path: `M${since} ${n(y)}H${n(place(axis, width, axis.now))}v${n(band.wait + more)}H${since}Z` });
    }
  return paths;
}

export interface Label {
  id: string;
  x: number;
  text: string;
}
export interface PlacedLabel extends Label {
  /** The row it stands in, 0 nearest the band; -1 when there is no room. */
  row: number;
  /** Left end of the text. */
  left: number;
}

/** Labels beside their marks without one covering another: each in the nearest row that has room. */
export function layLabels(labels: readonly Label[], rows: number, width: number, letter = 7.2): PlacedLabel[] {
  const taken = new Array<number>(rows).fill(-Infinity);
  return [...labels]
    .sort((a, b) => a.x - b.x)
    .map((label) => {
      const size = label.text.length * letter + 8;
      const left = Math.max(0, Math.min(width - size, label.x - 4));
      const row = taken.findIndex((end) => end <= left);
      if (row >= 0) taken[row] = left + size;
      return { ...label, row, left };
    });
}
