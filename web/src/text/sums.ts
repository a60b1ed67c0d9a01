// The words of the sums and of the scales of difficult veins; they come with the screens that show them.
import type { Said } from './es';
import { difficulty as englishDifficulty, sums as englishSums } from './sums_en';
import { difficulty as spanishDifficulty, sums as spanishSums } from './sums_es';
import { inLanguage } from './text';

export const sums: Said<typeof englishSums> = inLanguage(englishSums, spanishSums);
export const difficulty: Said<typeof englishDifficulty> = inLanguage(englishDifficulty, spanishDifficulty);
