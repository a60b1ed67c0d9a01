import { describe, expect, it } from 'vitest';
import { canBeTyped, withEdits } from './policy_change';

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
    });
    expect(changed).toEqual({
      name: 'ward',
      watch: { soon: { value: '45 min', source: 'ward meeting', mark: 'practice' } },
      choice: { weight: { value: '2.5', source: 'us', mark: 'practice' } },
      practice: { placing: { value: ['identity', 'label'], source: 'us', mark: 'practice' } },
    });
    expect(JSON.stringify(policy)).toBe(before);
  });
  it('keeps what is no number as typed, so that the engine can refuse it by its field', () => {
    expect(withEdits(policy, { 'choice/weight': { value: 'much', source: 'us', mark: 'practice' } })).toMatchObject({ choice: { weight: { value: 'much' } } });
  });
  it('does nothing on a path that is not there', () => {
    expect(withEdits(policy, { 'no/such/figure': { value: '1', source: '', mark: 'read' } })).toEqual(policy);
  });
  it('knows what can be typed', () => {
    expect([3, 'a', { text: '1 h' }, ['a']].every(canBeTyped)).toBe(true);
    expect([[{ number: 20 }], {}, undefined].some(canBeTyped)).toBe(false);
  });
});
