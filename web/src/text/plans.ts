// The words of Plan, Handover, Policy, Learn and the exercises of Practice; they come with those screens.
import type { Said } from './es';
import { plans as english } from './plans_en';
import { plans as spanish } from './plans_es';
import { inLanguage } from './text';

export const plans: Said<typeof english> = inLanguage(english, spanish);
