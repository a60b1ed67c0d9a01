import { describe, expect, it } from 'vitest';
import { text as firstEnglish } from './en';
import { text as firstSpanish } from './es';
import { door as doorEnglish } from './door_en';
import { door as doorSpanish } from './door_es';
import { more as moreEnglish } from './more_en';
import { more as moreSpanish } from './more_es';
import { plans as plansEnglish } from './plans_en';
import { plans as plansSpanish } from './plans_es';
import { steps as stepsEnglish } from './steps_en';
import { steps as stepsSpanish } from './steps_es';
import { difficulty as difficultyEnglish, sums as sumsEnglish } from './sums_en';
import { difficulty as difficultySpanish, sums as sumsSpanish } from './sums_es';

const english = { ...firstEnglish, more: moreEnglish, steps: stepsEnglish, sums: sumsEnglish, difficulty: difficultyEnglish, plans: plansEnglish, door: doorEnglish };
const spanish = { ...firstSpanish, more: moreSpanish, steps: stepsSpanish, sums: sumsSpanish, difficulty: difficultySpanish, plans: plansSpanish, door: doorSpanish };

/** The same in both languages, by its path in the catalogue: names, units, words that the two share. */
const same = new Set(['care.gaugeShort', 
  'name', 'patient.no', 'job.place.no', 'care.begin.no', 'care.place.noNumb', 'header.ward',
  'steps.signs.pus', 'job.place.outcomes.haematoma',
]);
/** Numbers with their units, and what only arranges what it is given. */
const unitsOnly = /^[\d.,\s]*(?:%|[hd]|min|[cm]m|(?:mcg|mg|g|mmol)(?:\/kg)?\/(?:h|min))?$/;

interface Leaf {
  path: string;
  kind: string;
  value: unknown;
}
const leaves = (value: unknown, path = ''): Leaf[] => {
  const kind = Array.isArray(value) ? 'array' : typeof value;
  if (value === null || typeof value !== 'object') return [{ path, kind, value }];
  return [{ path, kind, value: undefined }, ...Object.entries(value).flatMap(([key, one]) => leaves(one, path === '' ? key : `${path}.${key}`))];
};
const given = ['2', '3', '4'] as const;
const called = (leaf: Leaf): string => {
  const say = leaf.value as (...all: string[]) => string;
  return say(...given.slice(0, say.length));
};

describe('the catalogues', () => {
  const en = leaves(english);
  const es = leaves(spanish);
  const inEnglish = new Map(en.map((leaf) => [leaf.path, leaf]));
  const functions = es.flatMap((other) => {
    const one = inEnglish.get(other.path);
    return one?.kind === 'function' && other.kind === 'function' ? [[one, other] as const] : [];
  });

  it('have the same keys and kinds, in the same order', () => {
    expect(es.map(({ path, kind }) => `${path}: ${kind}`)).toEqual(en.map(({ path, kind }) => `${path}: ${kind}`));
  });
  it('have functions that take as much', () => {
    for (const [one, other] of functions) expect([other.path, (other.value as () => string).length]).toEqual([one.path, (one.value as () => string).length]);
  });
  it('say in Spanish what they are given in English', () => {
    for (const [one, other] of functions) {
      if (one.path === 'site') continue; // takes names, not words
      const before = called(one);
      const after = called(other);
      for (const word of given) if (before.includes(word)) expect(`${one.path}: ${after}`).toContain(word);
    }
  });
  it('have no empty word', () => {
    for (const leaf of es) if (leaf.kind === 'string') expect([leaf.path, String(leaf.value).trim()]).not.toEqual([leaf.path, '']);
  });
  it('leave nothing in English', () => {
    const left = es.flatMap((leaf) => {
      const one = inEnglish.get(leaf.path);
      if (one === undefined || same.has(leaf.path) || leaf.path === 'ribbon.due') return [];
      const words = leaf.kind === 'function' ? called(leaf) : leaf.value;
      const original = one.kind === 'function' ? called(one) : one.value;
      const bare = typeof words === 'string' && unitsOnly.test(words);
      return typeof words === 'string' && words === original && !bare ? [`${leaf.path}: ${words}`] : [];
    });
    expect(left).toEqual([]);
  });
  it('say how a task stands', () => {
    expect(spanish.ribbon.due('X', 'overdue', 'Y')).toBe('X, atrasado, Y');
  });
  it('name the places with their sides', () => {
    expect(spanish.site('left', 'hand_back')).toBe('Dorso de la mano izquierda');
    expect(spanish.site('right', 'forearm_lower')).toBe('Tercio inferior del antebrazo derecho');
    expect(spanish.site('right', 'scalp')).toBe('Cuero cabelludo, lado derecho');
  });
  it('count in Spanish', () => {
    expect(spanish.job.watch.lines(1, 'x')).toContain('1 vía abierta,');
    expect(spanish.job.watch.lines(2, 'x')).toContain('2 vías abiertas,');
    expect(spanish.care.handover.giveAll(1, 'X')).toBe('Entregar 1 vía a X');
  });
  it('name the record and the policy', () => {
    expect(spanish.job.plain('fistula_or_graft')).toBe('fístula o injerto');
    expect(spanish.job.plain('antiseptics: alcohol_70: scrub')).toBe('antisépticos: alcohol 70 %: frotar');
  });
});
