// The words of the screens that are opened now and then; they come with those screens.
import type { Said } from './es';
import { more as english } from './more_en';
import { more as spanish } from './more_es';
import { inLanguage } from './text';

export const more: Said<typeof english> = inLanguage(english, spanish);
