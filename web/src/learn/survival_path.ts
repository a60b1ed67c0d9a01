// Paths of a step curve and its band from points that are already computed.

export interface CurvePoint {
  days: number;
  share: number;
  low: number;
  high: number;
}

type Scale = (value: number) => number;

const at = (value: number): string => String(Math.round(value * 10) / 10);

function steps(points: readonly CurvePoint[], end: number, x: Scale, height: (point: CurvePoint) => number): string[] {
  const shown = points.filter((point) => point.days <= end);
  const path: string[] = [];
  for (const point of shown) path.push(`H${at(x(point.days))}V${at(height(point))}`);
  path.push(`H${at(x(end))}`);
  return path;
}

export function stepPath(points: readonly CurvePoint[], end: number, x: Scale, y: Scale): string {
  return `M${at(x(0))} ${at(y(1))}${steps(points, end, x, (point) => y(point.share)).join('')}`;
}

export function bandPath(points: readonly CurvePoint[], end: number, x: Scale, y: Scale): string {
  const upper = `M${at(x(0))} ${at(y(1))}${steps(points, end, x, (point) => y(point.high)).join('')}`;
  // The lower edge is walked backwards: down to the last level first, then up a step at each point.
  const shown = points.filter((point) => point.days <= end);
  let lower = '';
  for (let i = shown.length - 1; i >= 0; i--) {
    const point = shown[i];
    if (point) lower += `V${at(y(point.low))}H${at(x(point.days))}`;
  }
  return `${upper}${lower}V${at(y(1))}Z`;
}
