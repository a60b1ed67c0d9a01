import { expect, test } from 'vitest';
import { shareOf } from './share';

test('whoever has fewest gets the next, and none is left', () => {
  const ward = [{ nurse: 'A' }, { nurse: 'A' }, { nurse: 'B' }, { nurse: '' }, { nurse: '' }, { nurse: '' }];
  expect(shareOf(['1', '2', '3'], ['A', 'B'], ward)).toEqual([{ line: '1', nurse: 'B' }, { line: '2', nurse: 'A' }, { line: '3', nurse: 'B' }]);
  expect(shareOf(['1'], [], ward)).toEqual([]);
});
