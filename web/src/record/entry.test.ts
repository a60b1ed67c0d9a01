import { expect, it } from 'vitest';
import { asCharted } from './entry';

it('what is typed is charted in one way of writing, without white space around it', () => {
  const typed = { author: ' Zo\u0065\u0308 ', body: { list: ['\u0041\u030a', 7, null, true], inner: { note: 'two\nlines ' } } };
  expect(asCharted(typed)).toEqual({ author: 'Zo\u00eb', body: { list: ['\u00c5', 7, null, true], inner: { note: 'two\nlines' } } });
});
