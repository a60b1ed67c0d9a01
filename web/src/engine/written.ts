// An input of the engine that is text already: what does not change between two calls is written once.

export class Written {
  constructor(readonly json: string) {}
}

export const written = (input: unknown): string => (input instanceof Written ? input.json : JSON.stringify(input));
