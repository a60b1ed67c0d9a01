// What the server takes and gives by address, as it says of itself.
import { ask } from './ask';
import type { Routes } from '../engine/generated/shapes';

export type Route = keyof Routes;
export type Answer<Name extends Route> = Routes[Name]['answer'];
export type Body<Name extends Route> = Routes[Name] extends { body: infer Given } ? Given : never;

/** A pattern with anything in the place of its {…}, and a question behind it or none. */
type Filled<Pattern extends string> = Pattern extends `${infer Before}{${string}}${infer After}` ? `${Before}${string}${Filled<After>}` : Pattern;
export type Address<Name extends Route> = Name extends `${string} /${infer Pattern}` ? Filled<Pattern> | `${Filled<Pattern>}?${string}` : never;

/** An answer of the server as it promises it. */
export const answerOf = <Name extends Route>(_route: Name, text: string): Answer<Name> => JSON.parse(text) as Answer<Name>;

/** Sends a body as JSON. */
export const post = <Name extends Route>(_route: Name, address: Address<Name>, body: Body<Name>): Promise<Response> =>
  ask(address, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(body) });
