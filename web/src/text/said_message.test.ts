import { describe, expect, it } from 'vitest';
import english from './made/en.json';
import pseudo from './made/en-XA.json';
import spanish from './made/es.json';
import type { Said } from './message';
import { type LanguageFile, here, quantityIn, speaker, wordedIn } from './said_message';

const in_ = (language: unknown, decimalSign: 'point' | 'comma' = 'point'): ((said: Said) => string) =>
  speaker(language as LanguageFile, english as unknown as LanguageFile, { ...here, decimalSign });
const light: Said = {
  id: 'weight_far_below_chart',
  args: { weight: { quantity: [['1.8', 'kg']] }, age: { messages: [{ id: 'age_in_years', args: { years: { count: 5, digits: '5' } } }], join: 'list' }, line: { quantity: [['12.4', 'kg']] } },
};

describe('a message', () => {
  it('is said in each language', () => {
    expect(in_(english)(light)).toBe('Weight 1.8 kg at 5 y is far below the lowest line of the growth chart, 12.4 kg.');
    expect(in_(spanish, 'comma')(light)).toBe('El peso de 1,8 kg a la edad de 5 años está muy por debajo de la línea más baja de la curva de crecimiento, 12,4 kg.');
  });
  it('is bracketed and longer in the pseudo-language, with the same numbers', () => {
    const said = in_(pseudo)(light);
    expect(said).toMatch(/^⟦.*1\.8 kg.*⟧$/u);
    expect(said.length).toBeGreaterThan(in_(english)(light).length);
  });
  it('leaves words that are no message as they were written', () => {
    expect(in_(spanish)({ id: 'sentences', args: { all: { messages: [light, 'leaking'], join: 'sentences' } } })).toMatch(/ kg\. leaking$/);
    expect(in_(spanish, 'comma')('1.5 units/h')).toBe('1.5 units/h');
  });
  it('never translates own words', () => {
    const own = "leaking {weight} <b> '{' #";
    expect(in_(spanish)({ id: 'symbol', args: { symbol: { own_words: own } } })).toBe(own);
  });
  it('says what stands in the ward’s lists by its title', () => {
    const reader = { ...here, titleOf: (name: string): string => (name === 'red cells' ? 'hematíes' : name) };
    const say = speaker(spanish as unknown as LanguageFile, english as unknown as LanguageFile, reader);
    const listed = (name: string): Said => ({ id: 'listed_name', args: { name: { listed: name } } });
    expect(say(listed('red cells'))).toBe('hematíes');
    expect(say(listed('something new'))).toBe('something new');
  });
  it('says a text by language in the reader’s, or plainly marked', () => {
    const both = { en: 'Stop.', es: 'Parar.' };
    expect(in_(spanish)({ id: 'wording', args: { wording: { wording: both } } })).toBe('Parar.');
    expect(in_(spanish)({ id: 'wording', args: { wording: { wording: 'Stop.' } } })).toBe('[en] Stop.');
    expect(in_(pseudo)({ id: 'wording', args: { wording: { wording: both } } })).toBe('⟦Stop.⟧');
    expect(wordedIn('en', { es: 'Parar.' })).toBe('[es] Parar.');
    expect(wordedIn('es', '')).toBe('');
  });
  it('is said by its id when nobody knows it', () => {
    expect(in_(spanish)({ id: 'of_a_newer_dwell', args: {} } as unknown as Said)).toBe('[of_a_newer_dwell]');
  });
});

describe('a quantity', () => {
  const written = (text: string, language: unknown = spanish, decimalSign: 'point' | 'comma' = 'comma'): string => quantityIn(language as LanguageFile, { ...here, decimalSign }, { text });
  it('is written in the ward’s sign and the reader’s units', () => {
    expect(written('1.5 drops/mL')).toBe('1,5 gotas/mL');
    expect(written('1\u202f000 mL')).toBe('1\u202f000 mL');
    expect(written('7 h 43 min')).toBe('7 h 43 min');
    expect(written('−0.5 °C')).toBe('−0,5 °C');
    expect(written('62.5 units/h', spanish, 'point')).toBe('62.5 unidades/h');
  });
  it('is in English as the engine wrote it', () => {
    for (const text of ['125 mL/h', '0.5 units/kg/h', '7 h 43 min', '1\u202f027 mL', '20 drops/mL']) expect(written(text, english, 'point')).toBe(text);
  });
});
