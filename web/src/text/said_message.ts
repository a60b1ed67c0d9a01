// A message in words, by the pattern of a language. exchange/said does the same on server, command line and paper;
// tests/peers holds the two against each other.
import { IntlMessageFormat } from 'intl-messageformat';
import { asTheWardWrites } from './digits.ts';
import type { Argument, Said, Wording } from './message';

/** A pattern, read when the page was built (vite.config.ts), or its text when nothing is put into it. */
export type Pattern = ConstructorParameters<typeof IntlMessageFormat>[0];

/** text/LANGUAGE.toml as tools/messages makes it. */
export interface LanguageFile {
  locale: string;
  display: { months: string[]; day: string; moment: string; list: string; sentences: string; unknown: string; units: Record<string, string> };
  patterns: Record<string, Pattern>;
}

export interface Reader {
  decimalSign: 'point' | 'comma';
  /** What something in the ward's lists is called; its name where no list holds it. */
  titleOf: (name: string) => string;
  /** The moment by the reader's clock: year, month from 1, day, hour, minute. */
  local: (at: number) => [year: number, month: number, day: number, hour: number, minute: number];
}

const byOwnClock = (at: number): [number, number, number, number, number] => {
  const date = new Date(at);
  return [date.getFullYear(), date.getMonth() + 1, date.getDate(), date.getHours(), date.getMinutes()];
};
export const here: Reader = { decimalSign: 'point', titleOf: (name) => name, local: byOwnClock };

const two = (n: number): string => String(n).padStart(2, '0');
const fill = (pattern: string, filled: Record<string, string>): string => Object.entries(filled).reduce((text, [name, value]) => text.replace(`{${name}}`, () => value), pattern);

/** A wording's texts by language; plain text is English. */
export const textsOf = (wording: Wording): Readonly<Record<string, string>> => (typeof wording === 'string' ? (wording === '' ? {} : { en: wording }) : wording);

/** The text for a reader, and the language it is in where that is not the reader's (core/message/wording.h: read_in). */
export function readIn(locale: string, wording: Wording): { text: string; instead?: string } {
  const texts = textsOf(wording);
  const own = texts[locale] ?? texts[locale.split('-')[0] ?? ''];
  if (own !== undefined) return { text: own };
  const instead = 'en' in texts ? 'en' : Object.keys(texts).sort()[0];
  return instead === undefined ? { text: '' } : { text: texts[instead] ?? '', instead };
}
/** The same with the language in front, where it is not the reader's. */
export function wordedIn(locale: string, wording: Wording): string {
  const { text, instead } = readIn(locale, wording);
  return instead === undefined ? text : `[${instead}] ${text}`;
}

/**
 * A quantity for a reader. Its text is what the engine's display makes (core/quantity/display.h): digits with a decimal point
 * and narrow spaces, and a unit, each parted by a space; 7 h 43 min are two. Digits are written with the reader's sign and a
 * unit in its words; nothing else is known of the text, and nothing is taken out of it.
 */
export const quantityIn = ({ display }: LanguageFile, reader: Reader, { text }: { text: string }): string =>
  text
    .split(' ')
    .map((part) => (/^[−-]?\d[\d.\u202f]*$/.test(part) ? asTheWardWrites(part, reader.decimalSign) : (display.units[part] ?? part)))
    .join(' ');

/** Says messages in a language; what the language lacks in English. Words that are no message stand as they were written. */
export function speaker(language: LanguageFile, english: LanguageFile, reader: Reader = here): (said: Said) => string {
  const { display } = language;
  const formats = new Map<string, IntlMessageFormat | string>();

  function formatOf(id: string): IntlMessageFormat | string {
    const kept = formats.get(id);
    if (kept !== undefined) return kept;
    const from = id in language.patterns ? language : english;
    const pattern = from.patterns[id];
    if (pattern === undefined) return `[${id}]`; // not kept: the rest of the catalogue may be on its way
    const made = isPlain(pattern) ? pattern : new IntlMessageFormat(pattern, from.locale, undefined, { ignoreTag: true });
    formats.set(id, made);
    return made;
  }
  const digits = (text: string): string => asTheWardWrites(text, reader.decimalSign);
  const day = (year: number, month: number, dayOfMonth: number): string =>
    fill(display.day, { day: String(dayOfMonth), month: display.months[month - 1] ?? '', year: String(year) });

  function shown(argument: Argument): string {
    if ('quantity' in argument) {
      if (argument.quantity.some(([text]) => text === '')) return display.unknown;
      return argument.quantity.map(([text, unit]) => (unit === '' ? digits(text) : `${digits(text)} ${display.units[unit] ?? unit}`)).join(' ');
    }
    if ('count' in argument) return argument.digits;
    if ('moment' in argument) {
      const [year, month, dayOfMonth, hour, minute] = reader.local(Date.parse(argument.moment));
      return fill(display.moment, { day: day(year, month, dayOfMonth), time: `${two(hour)}:${two(minute)}` });
    }
    if ('day' in argument) {
      const [year = 0, month = 0, dayOfMonth = 0] = argument.day.split('-').map(Number);
      return day(year, month, dayOfMonth);
    }
    if ('enumerator' in argument) return argument.enumerator;
    if ('own_words' in argument) return argument.own_words;
    if ('listed' in argument) return reader.titleOf(argument.listed);
    if ('wording' in argument) return wordedIn(language.locale, argument.wording);
    return argument.messages.map(say).join(display[argument.join]);
  }
  function say(said: Said): string {
    if (typeof said === 'string') return said;
    const format = formatOf(said.id);
    if (typeof format === 'string') return format;
    const filled: Record<string, string | number> = {};
    for (const [name, argument] of Object.entries(said.args as Record<string, Argument>)) {
      const text = shown(argument);
      filled[name] = 'count' in argument ? argument.count : text;
      // A count chooses its plural by the number and is shown by its digits.
      if ('count' in argument) filled[`${name}_shown`] = text;
    }
    try {
      return String(format.format(filled));
    } catch {
      return `[${said.id}]`; // of another version of the engine, with other arguments: what was meant is not guessed
    }
  }
  return say;
}

/** Whether nothing is put into it. */
const isPlain = (pattern: Pattern): pattern is string => typeof pattern === 'string' && !/[{}']/.test(pattern);
