// The page's words in the language that this device speaks. English comes with the first download; another language is
// fetched before the first screen, so that no screen changes its words while somebody reads it.
import type { Decimal } from '../engine/engine';
import { keep, readKept } from '../record/kept';
import { text as english } from './en';
import type { Said } from './message';
import type { LanguageFile } from './said_message';

export type Words = typeof english;

/** Each by its own name, the way in which it is written, and its decimal sign. */
export const languages = {
  en: { name: 'English', direction: 'ltr', decimal: 'point' },
  es: { name: 'Español', direction: 'ltr', decimal: 'comma' },
  // English in longer letters between brackets: what is not so comes from outside the catalogue. Only for tests.
  'en-XA': { name: 'Pseudo', direction: 'ltr', decimal: 'point' },
} as const satisfies Record<string, { name: string; direction: 'ltr' | 'rtl'; decimal: Decimal }>;
export type Language = keyof typeof languages;

export let text: Words = english;
export let language: Language = 'en';
/** What the engine said, in the language of the page. To be called where it is shown: what is charted stays as it came. */
export let say: (said: Said) => string = (said) => (typeof said === 'string' ? said : said.id);

export const isLanguage = (name: string): name is Language => name in languages;

/** What somebody chose on this device; else what the browser asks for; else English. */
export function wantedLanguage(): Language {
  const chosen = readKept<string>('language', 'device');
  if (chosen !== null && isLanguage(chosen)) return chosen;
  const asked = navigator.languages.map((one) => one.slice(0, 2)).find(isLanguage);
  return asked ?? 'en';
}

const patternsOf = {
  en: async () => import('./made/en.json') as Promise<{ default: LanguageFile }>,
  es: async () => import('./made/es.json') as Promise<{ default: LanguageFile }>,
  'en-XA': async () => import('./made/en-XA.json') as Promise<{ default: LanguageFile }>,
} satisfies Record<Language, () => Promise<{ default: LanguageFile }>>;

/** Before the first screen is made. */
export async function speak(wanted: Language): Promise<void> {
  const [{ speaker }, { default: ownPatterns }, { default: englishPatterns }, prose] = await Promise.all([
    import('./said_message'),
    patternsOf[wanted](),
    patternsOf.en(),
    wanted === 'es' ? Promise.all([import('./es'), import('./engine_es'), import('./said')]) : undefined,
  ]);
  if (prose !== undefined) text = prose[0].text;
  say = speaker(ownPatterns, englishPatterns, prose === undefined ? (english) => english : prose[2].translator(prose[1].phrases));
  language = wanted;
  document.documentElement.lang = wanted;
  document.documentElement.dir = languages[wanted].direction;
}

/** From the next start of the page on; what is typed in a form would be lost otherwise without a word. */
export function choose(wanted: Language): void {
  keep('language', 'device', wanted);
}
