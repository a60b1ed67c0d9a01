import { describe, expect, it } from 'vitest';
import { canBeTyped, fileOf, partsOf, readFile, withEdits } from './policy_change';

const policy = {
  name: 'ward',
  watch: { soon: { value: { value: 1800, unit: 's', text: '30 min' }, source: 'us', mark: 'practice' } },
  choice: { weight: { value: 3, source: 'us', mark: 'practice' } },
  practice: { placing: { value: ['identity', 'hands'], source: 'us', mark: 'practice' } },
};

describe('a policy with figures typed anew', () => {
  it('holds what was typed, in the way of the policy file, and leaves the rest and the first alone', () => {
    const before = JSON.stringify(policy);
    const changed = withEdits(policy, {
      'watch/soon': { value: ' 45 min', source: 'ward meeting', mark: 'practice' },
      'choice/weight': { value: '2.5', source: 'us', mark: 'practice' },
      'practice/placing': { value: 'identity, label', source: 'us', mark: 'practice' },
    }, 'en');
    expect(changed).toEqual({
      name: 'ward',
      watch: { soon: { value: '45 min', source: 'ward meeting', mark: 'practice' } },
      choice: { weight: { value: '2.5', source: 'us', mark: 'practice' } },
      practice: { placing: { value: ['identity', 'label'], source: 'us', mark: 'practice' } },
    });
    expect(JSON.stringify(policy)).toBe(before);
  });
  it('keeps what is no number as typed, so that the engine can refuse it by its field', () => {
    expect(withEdits(policy, { 'choice/weight': { value: 'much', source: 'us', mark: 'practice' } }, 'en')).toMatchObject({ choice: { weight: { value: 'much' } } });
  });
  it('does nothing on a path that is not there', () => {
    expect(withEdits(policy, { 'no/such/figure': { value: '1', source: '', mark: 'read' } }, 'en')).toEqual(policy);
  });
  it("types a text in the reader's language, and never loses the other", () => {
    const angle = (value: unknown): object => ({ angle: { value, source: 'us', mark: 'practice' } });
    const edited = (value: unknown, text: string, language: string): object => withEdits(angle(value), { angle: { value: text, source: 'us', mark: 'practice' } }, language);
    expect(edited({ en: 'flat', es: 'plano' }, 'muy plano', 'es')).toEqual(angle({ en: 'flat', es: 'muy plano' }));
    expect(edited('flat', 'plano', 'es')).toEqual(angle({ en: 'flat', es: 'plano' }));
    expect(edited('flat', 'very flat', 'en-XA')).toEqual(angle('very flat'));
    expect(edited('flat', ' ', 'es')).toEqual(angle('flat'));
    expect(edited({ en: 'flat', es: 'plano' }, '', 'es')).toEqual(angle({ en: 'flat', es: '' })); // the engine refuses it
    expect(edited('point', 'comma', 'es')).toEqual(angle('comma'));
  });
  it('shows a text in the reader’s language, marked where it is another', () => {
    const row = (value: unknown, language: string) => partsOf({ place: { angle: { value, source: 'us', mark: 'practice' } } }, (word) => word, language)[0]?.rows[0];
    expect(row({ en: 'flat', es: 'plano' }, 'es')).toMatchObject({ value: 'plano', typed: 'plano', canBeTyped: true });
    expect(row('flat', 'es')).toMatchObject({ value: '[en] flat', typed: '' });
    expect(row(['identity', 'hands'], 'es')).toMatchObject({ value: 'identity, hands', typed: 'identity, hands' });
  });
  it('knows what can be typed', () => {
    expect([3, 'a', { text: '1 h' }, { en: 'a' }, ['a']].every(canBeTyped)).toBe(true);
    expect([[{ number: 20 }], {}, undefined].some(canBeTyped)).toBe(false);
  });
});

describe('a policy as a file', () => {
  it('is read as it was saved', () => {
    const whole = { ...policy, scales: [], responses: {} };
    expect(readFile(fileOf(whole))).toEqual(whole);
  });
  it('that is none is refused before the engine is asked', () => {
    for (const text of ['', '[]', '"policy"', '{"watch":{}}', '{"watch":']) expect(readFile(text)).toBeNull();
  });
});
