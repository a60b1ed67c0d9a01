// How old what is shown is, in words.
import { text } from '../text/text';
import { momentText, spanText } from '../time/show';
import { minute } from '../time/spans';

export function stoodWords(stoodAt: number, now: number, reachable: boolean): string {
  const age = Math.floor(Math.max(0, now - stoodAt) / minute) * minute;
  const ago = age === 0 ? text.news.justNow : text.news.ago(spanText(age));
  return text.news[reachable ? 'stood' : 'unreached'](momentText(stoodAt, now), ago);
}
