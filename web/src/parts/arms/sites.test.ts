import { describe, expect, it } from 'vitest';
import { accessLimb } from '../../engine/generated/names';
import type { AccessRegion } from '../../engine/generated/shapes';
import { text } from '../../text/en';
import { childWidth, fontanelle, headHeight, headOutline, legHeight, legOutline } from './child_outline';
import { headShapes, legShapes } from './child_regions';
import { fieldHeight, fieldWidth, outline } from './outline';
import { regionShapes, type RegionShape } from './regions';
import { drawnOn, limbOf, restrictionsOf, sides, siteOn, worst, type BodySite } from './sites';

type Point = { x: number; y: number };

/** The rings of a path of absolute M, L, V, Q, C and Z, each curve in short straight pieces. */
function rings(path: string): Point[][] {
  const all: Point[][] = [];
  let ring: Point[] = [];
  for (const [, letter, numbers] of path.matchAll(/([MLVQCZ])([^MLVQCZ]*)/g)) {
    const given = (numbers ?? '').match(/-?\d+(?:\.\d+)?/g)?.map(Number) ?? [];
    const from = ring.at(-1) ?? { x: 0, y: 0 };
    if (letter === 'V') {
      ring.push({ x: from.x, y: given[0] ?? 0 });
      continue;
    }
    const points = Array.from({ length: given.length / 2 }, (_, i) => ({ x: given[2 * i] ?? 0, y: given[2 * i + 1] ?? 0 }));
    if (letter === 'M') {
      ring = points;
      all.push(ring);
    } else if (letter === 'L') ring.push(...points);
    else if (letter === 'Q' || letter === 'C')
      for (let step = 1; step <= 16; step++) {
        let row = [from, ...points];
        const share = step / 16;
        while (row.length > 1) row = row.slice(1).map((b, i) => ({ x: (row[i] ?? b).x * (1 - share) + b.x * share, y: (row[i] ?? b).y * (1 - share) + b.y * share }));
        ring.push(...row);
      }
  }
  return all;
}
/** By the even-odd rule, as the page fills it. */
const inside = (shape: Point[][], { x, y }: Point): boolean =>
  shape.reduce((crossings, ring) => {
    ring.forEach((b, i) => {
      const a = ring.at(i - 1) ?? b;
      if (a.y > y !== b.y > y && x < ((b.x - a.x) * (y - a.y)) / (b.y - a.y) + a.x) crossings += 1;
    });
    return crossings;
  }, 0) % 2 === 1;

interface Drawing {
  name: string;
  outline: string;
  shapes: readonly RegionShape[];
  width: number;
  height: number;
}
const armsFrom = (aspect: 'palm' | 'back'): Drawing => ({
  name: `arm, ${aspect}`, outline, shapes: regionShapes.filter((one) => one.aspect === aspect), width: fieldWidth, height: fieldHeight,
});
const leg: Drawing = { name: 'leg', outline: legOutline, shapes: legShapes, width: childWidth, height: legHeight };
const head: Drawing = { name: 'head', outline: headOutline, shapes: headShapes, width: childWidth, height: headHeight };
const drawings = [armsFrom('palm'), armsFrom('back'), leg, head];
const regions = Object.keys(text.regions) as AccessRegion[];

describe('the drawings of sites', () => {
  it('have a place for every region on both sides, and say it differently for each', () => {
    const names = sides.flatMap((side) =>
      regions.map((region) => {
        const site: BodySite = { side, region };
        const shape = drawings.flatMap((one) => one.shapes).find((one) => drawnOn(site, one));
        expect(shape, region).toBeDefined();
        if (shape) expect(drawnOn(siteOn(side, shape), shape)).toBe(true);
        return text.site(side, region);
      }),
    );
    expect(new Set(names).size).toBe(2 * regions.length);
  });

  for (const { name, outline: edge, shapes, width, height } of drawings) {
    const skin = rings(edge);
    const targets = shapes.map((shape) => ({ shape, area: rings(shape.path) }));

    it(`${name}: each centre lies in its own region, on the skin, in the field`, () => {
      for (const { shape, area } of targets) {
        const { x, y } = shape.centre;
        expect(x > 0 && x < width && y > 0 && y < height, shape.region).toBe(true);
        expect(inside(area, shape.centre), shape.region).toBe(true);
        expect(inside(skin, shape.centre), shape.region).toBe(true);
      }
    });
    it(`${name}: no two targets overlap`, () => {
      for (let x = 0.37; x < width; x += 2)
        for (let y = 0.37; y < height; y += 2) {
          const hit = targets.filter(({ area }) => inside(area, { x, y })).map(({ shape }) => shape.region);
          expect(hit.length, `${hit.join(' and ')} at ${x}, ${y}`).toBeLessThan(2);
        }
    });
  }

  // On a phone 390 px wide each of a pair is 158 px wide.
  for (const [{ name, outline: edge, shapes }, boxWidth] of [[leg, childWidth - 24], [head, childWidth - 4]] as const)
    it(`${name}: a thumb of 44 px finds each target on a phone`, () => {
      const half = (22 * boxWidth) / 158;
      const skin = rings(edge);
      for (const { region, path, centre } of shapes) {
        const area = rings(path);
        for (const across of [-half, 0, half])
          for (const down of [-half, 0, half]) {
            const at = { x: centre.x + across, y: centre.y + down };
            expect(inside(skin, at) && inside(area, at), `${region} at ${at.x}, ${at.y}`).toBe(true);
          }
      }
    });

  it('leave the soft spot out of what can be chosen', () => {
    const spot = rings(fontanelle);
    const scalp = rings(headShapes[0]?.path ?? '');
    const within = { x: 134, y: 30 };
    expect(inside(spot, within)).toBe(true);
    expect(inside(scalp, within)).toBe(false);
  });
});

describe('restrictions', () => {
  const given = [
    { side: 'left', reason: 'fistula', severity: 'stop' },
    { side: 'left', limb: 'leg', reason: 'cast', severity: 'caution' },
  ] as const;
  it('hold for their own limb, the arm when none is said', () => {
    expect(accessLimb.map((limb) => restrictionsOf(given, 'left', limb).map((one) => one.reason))).toEqual([['fistula'], ['cast'], []]);
    expect(restrictionsOf(given, 'right', 'arm')).toEqual([]);
    expect([worst(given), worst(given.slice(1)), worst([])]).toEqual(['stop', 'caution', null]);
  });
  it('know the limb of a region', () => {
    expect(regions.filter((region) => limbOf(region) !== 'arm')).toEqual(['foot', 'leg', 'scalp']);
  });
});
