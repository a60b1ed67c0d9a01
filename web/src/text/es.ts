import type { Words } from './text';
import { text as english } from './en';

export const text: Words = english;
