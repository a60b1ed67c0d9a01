// The words of the check, the response, removal, placing and the emergency; they come with those screens.
import type { Said } from './es';
import { steps as english } from './steps_en';
import { steps as spanish } from './steps_es';
import { inLanguage } from './text';

export const steps: Said<typeof english> = inLanguage(english, spanish);
