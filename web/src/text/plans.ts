// The words of Plan, Handover, Policy, Learn and the exercises of Practice; they come with those screens.
import type { Said } from './es';
import { plans as english } from './plans_en';
import { plans as spanish } from './plans_es';
import { language } from './text';

export const plans: Said<typeof english> = language === 'es' ? spanish : english;
