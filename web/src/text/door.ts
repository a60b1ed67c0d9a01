// The words of signing in and of accounts; they come with those screens.
import type { Said } from './es';
import { door as english } from './door_en';
import { door as spanish } from './door_es';
import { inLanguage } from './text';

/** To be asked for when a screen is made: the language is known only then. */
export const door = (): Said<typeof english> => inLanguage(english, spanish);
