// Who charts, and where. Filled at sign-in; empty means that nobody is signed in.

class Session {
  /** Name and role: "R. Okoro, nurse". */
  person = $state<string | null>(null);
  ward = $state<string | null>(null);
  /** The demo ward is marked on every screen. */
  demo = $state(false);
}

export const session = new Session();
