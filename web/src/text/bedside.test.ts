import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { phrases } from './engine_es';
import { translator } from './said';

// What a nurse acts on is said in her language: every card of the policy, every note of the list, every step.
const say = translator(phrases);
const file = (path: string): string => readFileSync(new URL(`../../../${path}`, import.meta.url), 'utf8');
const strings = (line: string): string[] => [...line.matchAll(/"((?:[^"\\]|\\.)*)"/g)].map((found) => (found[1] ?? '').replaceAll('\\"', '"'));
const english = (texts: readonly string[]): string[] => texts.filter((text) => text !== '' && say(text) === text);

describe('the bedside texts', () => {
  const policy = file('data/policy.toml');
  it('of the response cards have their Spanish', () => {
    const cards = policy.slice(policy.indexOf('[responses.')).split('\n');
    const texts = cards.flatMap((line) => {
      if (/^(title|call|cautions) = /.test(line)) return strings(line);
      return /^ {2}\{ text = /.test(line) ? strings(line).slice(0, 1) : [];
    });
    expect(texts.length).toBeGreaterThan(200);
    expect(english(texts)).toEqual([]);
  });
  it('of antiseptics, anaesthetics and ages have their Spanish', () => {
    const place = policy.slice(policy.indexOf('[place'), policy.indexOf('[vessel]')).split('\n');
    const texts = place.flatMap((line) => (/^(note|younger_note|tourniquet|antiseptic) = /.test(line) ? strings(line).slice(0, 1) : []));
    expect(texts.length).toBeGreaterThan(10);
    expect(english(texts)).toEqual([]);
  });
  it('of the list have their Spanish', () => {
    const texts = file('data/infusates.toml').split('\n').flatMap((line) => {
      if (line.startsWith('note = ')) return strings(line);
      return line.startsWith('giving = ') ? strings(/note = "[^"]*"/.exec(line)?.[0] ?? '') : [];
    });
    expect(texts.filter((text) => text !== '').length).toBeGreaterThan(60);
    expect(english(texts)).toEqual([]);
  });
  it('of the stories to practise on have their Spanish', () => {
    const source = file('core/procedure/practice.cc');
    const told = [...source.slice(source.indexOf('cases() {'), source.indexOf('line::Patient patient_of')).matchAll(/(?:"[^"\n]*"\s*)+/g)]
      .map((found) => strings(found[0]).join(''))
      .filter((text) => text.length > 40);
    expect(told.length).toBeGreaterThan(15);
    expect(english(told)).toEqual([]);
  });
});

// Errors that once stood here: a word that calms, or says another thing.
describe('Spanish that misleads', () => {
  const spanish = [...Object.values(phrases), ...file('text/es.toml').split('\n').flatMap(strings)];
  it.each([
    ['No pasa nada', 'reads as: it is all right'],
    ['qué pasa', 'reads as: what is going on'],
    ['qué pasaba', 'reads as: what was going on'],
    ['si no fr', 'reads as: if not cold'],
    ['templad', 'reads as: lukewarm'],
    ['nevera', 'a refrigerator is wrong for platelets'],
    ['coger', 'vulgar in much of America'],
    ['estría', 'a stretch mark'],
    ['tirita', 'understood in Spain alone'],
    ['equipo de urgencias', 'the emergency department'],
    ['al médico', 'nurses prescribe too'],
  ])('%s (%s)', (wrong) => {
    expect(spanish.filter((text) => text.includes(wrong))).toEqual([]);
  });
});
