// The words of the screens that are opened now and then; they come with those screens.
import { more as english } from './more_en';
import { more as spanish } from './more_es';
import { language } from './text';

type Widened<T> = T extends (...given: infer G) => string ? (...given: G) => string : T extends string ? string : { readonly [K in keyof T]: Widened<T[K]> };

export const more: Widened<typeof english> = language === 'es' ? spanish : english;
