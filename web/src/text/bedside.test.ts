import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import patterns from './made/es.json';

// What a nurse acts on is said in her language: every card of the policy, every note of the list.
const file = (path: string): string => readFileSync(new URL(`../../../${path}`, import.meta.url), 'utf8');
const quoted = '"((?:[^"\\\\]|\\\\.)*)"';
const inSpanish = (text: string): string[] => [...text.matchAll(new RegExp(`\\bes = ${quoted}`, 'g'))].map((found) => found[1] ?? '');

describe('the texts of the ward’s files', () => {
  it.each([['data/policy.toml', 400], ['data/infusates.toml', 150]] as const)('%s have their Spanish beside the English', (path, least) => {
    const text = file(path);
    const english = text.match(new RegExp(`\\ben = ${quoted}`, 'g')) ?? [];
    const both = text.match(new RegExp(`\\ben = ${quoted}(?:, |\\n[a-z_]+\\.)es = "[^"]`, 'g')) ?? [];
    expect(english.length).toBeGreaterThan(least);
    expect(both.length).toBe(english.length);
    // None is left that names no language.
    const plain = text.split('\n').filter((line) => /^(title|call|note|younger_note|meaning|credit) = "[^"]/.test(line) || /^ {2}\{ text = "/.test(line) || /^cautions = \[."/.test(line));
    expect(plain).toEqual([]);
  });
});

// Errors that once stood here: a word that calms, or says another thing.
describe('Spanish that misleads', () => {
  const spanish = [...inSpanish(file('data/policy.toml')), ...inSpanish(file('data/infusates.toml')), ...Object.values(patterns.patterns).map(String)];
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
