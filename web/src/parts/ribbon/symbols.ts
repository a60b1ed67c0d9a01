// The signs on a ribbon. Each has a shape of its own, so that none is told by its colour alone.
import type { RibbonDue, RibbonMark } from './ribbon_line';

export const symbols = [
  'sound', 'one', 'two', 'severe', 'unmatched', 'problem', 'note', 'flush', 'dressing', 'rate', 'set', 'bag', 'due', 'soon', 'now_due', 'late', 'danger', 'alarm',
] as const;
export type SymbolName = (typeof symbols)[number];

export function symbolOfMark(mark: RibbonMark): SymbolName | null {
  switch (mark.kind) {
    case 'site_check':
      return mark.grade == null ? 'unmatched' : mark.grade >= 3 ? 'severe' : mark.grade === 2 ? 'two' : mark.grade === 1 ? 'one' : 'sound';
    case 'placed':
    case 'removed':
      return null; // the ends of the band itself
    default:
      return mark.kind;
  }
}

export const symbolOfDue = (due: Pick<RibbonDue, 'level'>): SymbolName => (due.level === 'now' ? 'now_due' : due.level);

const n = (value: number): string => String(Math.round(value * 10) / 10);
/** Half the height of a sound look: looks that would touch join to one long bead. */
export const beadOf = (r: number): number => r * 0.68;

function circle(x: number, y: number, radius: number): string {
  const r = Number(n(radius)); // both halves must close on the same figure
  return `M${n(x - r)} ${n(y)}a${r} ${r} 0 1 0 ${n(2 * r)} 0a${r} ${r} 0 1 0 ${n(-2 * r)} 0Z`;
}

/** The path of a symbol around a point; `r` is half its height. */
export function symbolPath(name: SymbolName, x: number, y: number, r: number): string {
  switch (name) {
    case 'sound':
      return circle(x, y, beadOf(r));
    case 'one':
      return `M${n(x)} ${n(y - r)}L${n(x + r)} ${n(y + r * 0.8)}H${n(x - r)}Z`;
    case 'two':
      return `M${n(x)} ${n(y - r * 1.15)}L${n(x + r * 1.15)} ${n(y)}L${n(x)} ${n(y + r * 1.15)}L${n(x - r * 1.15)} ${n(y)}Z`;
    case 'severe':
      return `M${n(x - r)} ${n(y - r)}H${n(x + r)}V${n(y + r)}H${n(x - r)}Z`;
    case 'unmatched':
      return `M${n(x - r)} ${n(y - r * 0.5)}L${n(x)} ${n(y - r)}L${n(x + r)} ${n(y - r * 0.5)}V${n(y + r * 0.5)}L${n(x)} ${n(y + r)}L${n(x - r)} ${n(y + r * 0.5)}Z`;
    case 'problem':
      return `M${n(x - r * 0.8)} ${n(y - r * 0.8)}L${n(x + r * 0.8)} ${n(y + r * 0.8)}M${n(x + r * 0.8)} ${n(y - r * 0.8)}L${n(x - r * 0.8)} ${n(y + r * 0.8)}`;
    case 'note':
      return `M${n(x - r * 0.6)} ${n(y - r * 0.7)}H${n(x + r * 0.6)}M${n(x - r * 0.6)} ${n(y)}H${n(x + r * 0.6)}M${n(x - r * 0.6)} ${n(y + r * 0.7)}H${n(x + r * 0.1)}`;
    case 'flush':
      return `M${n(x)} ${n(y + r)}V${n(y - r)}M${n(x - r * 0.7)} ${n(y - r * 0.2)}L${n(x)} ${n(y - r)}L${n(x + r * 0.7)} ${n(y - r * 0.2)}`;
    case 'dressing':
      return `M${n(x - r * 0.8)} ${n(y - r * 0.8)}H${n(x + r * 0.8)}V${n(y + r * 0.8)}H${n(x - r * 0.8)}ZM${n(x - r * 0.8)} ${n(y)}H${n(x + r * 0.8)}`;
    case 'rate':
      return `M${n(x - r)} ${n(y + r * 0.7)}H${n(x)}V${n(y - r * 0.7)}H${n(x + r)}`;
    case 'set':
      return `M${n(x - r * 0.4)} ${n(y - r)}V${n(y + r)}M${n(x + r * 0.4)} ${n(y - r)}V${n(y + r)}`;
    case 'bag':
      return `M${n(x)} ${n(y - r)}C${n(x + r * 1.1)} ${n(y + r * 0.2)} ${n(x + r * 0.8)} ${n(y + r)} ${n(x)} ${n(y + r)}C${n(x - r * 0.8)} ${n(y + r)} ${n(x - r * 1.1)} ${n(y + r * 0.2)} ${n(x)} ${n(y - r)}Z`;
    case 'due':
      return circle(x, y, r * 0.8);
    case 'soon':
      return circle(x, y, r * 0.8) + circle(x, y, r * 0.2);
    case 'now_due':
      return `${circle(x, y, r * 0.8)}M${n(x)} ${n(y - r * 0.8)}V${n(y + r * 0.8)}M${n(x + r * 0.4)} ${n(y - r * 0.6)}V${n(y + r * 0.6)}`;
    case 'late':
      return `M${n(x - r)} ${n(y - r)}H${n(x + r)}L${n(x)} ${n(y + r)}Z`;
    case 'danger':
      return `M${n(x - r * 1.15)} ${n(y - r * 1.05)}H${n(x + r * 1.15)}L${n(x)} ${n(y + r * 1.1)}ZM${n(x)} ${n(y - r * 0.72)}V${n(y + r * 0.22)}`;
    case 'alarm':
      return `M${n(x - r * 0.55)} ${n(y - r * 1.3)}H${n(x + r * 0.55)}L${n(x + r * 1.3)} ${n(y - r * 0.55)}V${n(y + r * 0.55)}L${n(x + r * 0.55)} ${n(y + r * 1.3)}H${n(x - r * 0.55)}L${n(x - r * 1.3)} ${n(y + r * 0.55)}V${n(y - r * 0.55)}ZM${n(x)} ${n(y - r * 0.62)}V${n(y + r * 0.62)}`;
  }
}
