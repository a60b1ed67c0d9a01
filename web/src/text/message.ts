// What the engine says: an id of the catalogue (text/ at the top of the repository) and typed arguments, as
// core/json/message.cc writes them. Each argument names its type, so that it can be shown without the catalogue.
import type { Messages } from './made/messages';

/** Digits with a decimal point and narrow spaces, and the unit; 7 h 43 min are two. No digits: unknown. */
export interface QuantityArgument {
  quantity: [digits: string, unit: string][];
}
export interface CountArgument {
  count: number;
  digits: string;
}
export interface MomentArgument {
  moment: string;
}
export interface DayArgument {
  day: string;
}
export interface EnumeratorArgument<E extends string = string> {
  enumerator: E;
}
/** A text that a ward may replace, by language; plain text is English (core/message/wording.h). */
export type Wording = string | Readonly<Record<string, string>>;
export interface WordingArgument {
  wording: Wording;
}
/** Never translated. */
export interface OwnWordsArgument {
  own_words: string;
}
/** The name of something in the ward's lists: shown by its title in the reader's language. */
export interface ListedArgument {
  listed: string;
}
export interface MessagesArgument {
  messages: Said[];
  join: 'list' | 'sentences';
}
export type NoArguments = Record<string, never>;
export type Argument = QuantityArgument | CountArgument | MomentArgument | DayArgument | EnumeratorArgument | OwnWordsArgument | ListedArgument | MessagesArgument | WordingArgument;

export type Message = { [Id in keyof Messages]: { id: Id; args: Messages[Id] } }[keyof Messages];
/** A message, or words that stand as they are: the page's own, or what somebody typed. */
export type Said = string | Message;

/** Whether something that came over the wire is what the engine says. */
export function isSaid(value: unknown): value is Said {
  if (typeof value === 'string') return true;
  return typeof value === 'object' && value !== null && 'id' in value && typeof value.id === 'string' && 'args' in value && typeof value.args === 'object';
}

/** Tells two of them apart, as a key of a list. */
export const keyOf = (said: Said): string => (typeof said === 'string' ? said : JSON.stringify(said));
