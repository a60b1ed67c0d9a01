// Questions of which only the last counts: what is answered late, of something asked before, is dropped.

/**
 * One kind of question. `of` gives what was answered, or null when the same was asked again meanwhile: then a newer answer is shown or
 * on its way, and this one says nothing any more.
 */
export class Latest {
  private asked = 0;

  async of<T>(answer: Promise<T>): Promise<T | null> {
    const mine = ++this.asked;
    const told = await answer;
    return mine === this.asked ? told : null;
  }

  /** Tells what was answered, unless it is not wanted any more. Made for what cannot fail: the answer says itself what was wrong. */
  tell<T>(answer: Promise<T>, to: (told: T) => void): void {
    const mine = ++this.asked;
    void answer.then((told) => {
      if (mine === this.asked) to(told);
    });
  }

  /** What is still on its way is not wanted any more: what it was asked of is gone. */
  drop(): void {
    this.asked++;
  }
}
