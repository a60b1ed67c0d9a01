// The page's words in the language that this device speaks. English comes with the first download; another language is
// fetched before the first screen, so that no screen changes its words while somebody reads it.
import type { Decimal } from '../engine/engine';
import { keep, readKept } from '../record/kept';
import { numbers } from './digits';
import { text as english } from './en';
import type { Said as InSpanish } from './es';
import type { Said, Wording } from './message';
import englishPatterns from './made/en_first.json';
import { here, type LanguageFile, quantityIn, type Reader, readIn, speaker, wordedIn } from './said_message';

export type Words = typeof english;

/** Each by its own name, the way in which it is written, and its decimal sign. */
export const languages = {
  en: { name: 'English', direction: 'ltr', decimal: 'point' },
  es: { name: 'Español', direction: 'ltr', decimal: 'comma' },
  // English in longer letters between brackets: what is not so comes from outside the catalogue. Only for tests.
  'en-XA': { name: 'Pseudo', direction: 'ltr', decimal: 'point' },
} as const satisfies Record<string, { name: string; direction: 'ltr' | 'rtl'; decimal: Decimal }>;
export type Language = keyof typeof languages;

/** The build reads the patterns; what the compiler sees of the file is their text. */
const englishFile = englishPatterns as unknown as LanguageFile;

/** The English of what the first screen does not say. Every other screen waits for it; a language has its own file whole. */
let whole: Promise<void> | null = null;
export function wholeCatalogue(): Promise<void> {
  whole ??= import('./made/en_rest.json').then(
    (rest) => void Object.assign(englishFile.patterns, (rest.default as unknown as LanguageFile).patterns),
    (fault: unknown) => {
      whole = null; // without a network: the next screen asks again
      throw fault;
    },
  );
  return whole;
}
/** Waits for the whole catalogue when an answer says what the first part has not. That it cannot be had hides no answer. */
export async function wordsFor(answer: unknown): Promise<void> {
  if (language !== 'en') return;
  for (const [, id] of JSON.stringify(answer).matchAll(/"id":"([a-z0-9_]+)","args":/g))
    if (id !== undefined && !(id in englishFile.patterns)) return wholeCatalogue().catch(() => undefined);
}

export let text: Words = english;
export let language: Language = 'en';
/** What the engine said, in the language of the page. To be called where it is shown: what is charted stays as it came. */
export let say: (said: Said) => string = speaker(englishFile, englishFile, reader());
/** A quantity of the engine's, as the reader's language and the ward write it. To be called where it is shown. */
export let shown: (quantity: { readonly text: string }) => string = (quantity) => quantityIn(englishFile, reader(), quantity);

/** What is said to whoever looks after the record, in English alone: marked so elsewhere. */
export const inEnglish = (words: string): string => say({ id: 'english_only', args: { text: { own_words: words } } });

/** A text of the ward's own, by language. To be called where it is shown. */
export const worded = (wording: Wording): string => wordedIn(language, wording);
/** The same as it is charted: what was read, without the mark of another language. */
export const wordsToChart = (wording: Wording): string => readIn(language, wording).text;
/** Something that has a title by language; without one its name, which is English. */
export const titleOf = (named: { name: string; title?: Wording | null }): string => worded(named.title ?? named.name);

/** What the things of the ward's lists are called; whoever holds the lists tells (ward/titles.ts). */
export const lists: { titleOf: (name: string) => string } = { titleOf: (name) => name };
function reader(): Reader {
  return {
    ...here,
    titleOf: (name) => lists.titleOf(name),
    get decimalSign() {
      return numbers.decimalSign();
    },
  };
}

export const isLanguage = (name: string): name is Language => name in languages;

/** What somebody chose on this device; else what the browser asks for; else English. */
export function wantedLanguage(): Language {
  const chosen = readKept<string>('language', 'device');
  if (chosen !== null && isLanguage(chosen)) return chosen;
  const asked = navigator.languages.map((one) => one.slice(0, 2)).find(isLanguage);
  return asked ?? 'en';
}

let pseudo: <T>(english: T) => T = (words) => words;
/** The words of a screen in the language of the page; to be asked for once that is known. */
export const inLanguage = <T>(englishWords: T, spanish: InSpanish<T>): InSpanish<T> => (language === 'es' ? spanish : pseudo(englishWords) as InSpanish<T>);

function use(file: LanguageFile): void {
  say = speaker(file, englishFile, reader());
  shown = (quantity) => quantityIn(file, reader(), quantity);
}

/** Before the first screen is made. */
export async function speak(wanted: Language): Promise<void> {
  if (wanted === 'es') {
    const [patterns, words] = await Promise.all([import('./made/es.json'), import('./es')]);
    text = words.text;
    use(patterns.default as unknown as LanguageFile);
  } else if (wanted === 'en-XA') {
    const [patterns, { inLongerLetters }] = await Promise.all([import('./made/en-XA.json'), import('./pseudo')]);
    pseudo = inLongerLetters;
    text = pseudo(english);
    use(patterns.default as unknown as LanguageFile);
  }
  language = wanted;
  document.documentElement.lang = wanted;
  document.documentElement.dir = languages[wanted].direction;
}

/** From the next start of the page on; what is typed in a form would be lost otherwise without a word. */
export function choose(wanted: Language): void {
  keep('language', 'device', wanted);
}
