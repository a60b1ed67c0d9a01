// What is said aloud by a screen reader beyond what has the focus: where one arrived, and what came of an action. Words that
// appear together with their element are not always read; these stand in one place that is there from the start.
class Heard {
  words = $state('');
  private readonly waiting: string[] = [];
  private fading: ReturnType<typeof setTimeout> | undefined;

  /** Said even when the same was said before; what comes at the same time is said together. */
  say(words: string): void {
    if (words === '') return;
    if (this.waiting.push(words) > 1) return;
    this.words = '';
    clearTimeout(this.fading);
    setTimeout(() => {
      this.words = this.waiting.splice(0).join(' ');
      this.fading = setTimeout(() => (this.words = ''), 3_000); // what is past is not met again by who reads on
    }, 150);
  }
}
export const heard = new Heard();

/** For an element that appears with news: its words are said. Changes of it while it stands are read by themselves. */
export function spoken(node: HTMLElement): void {
  node.setAttribute('aria-live', 'polite');
  heard.say(node.textContent.trim());
}

/** Where the focus goes when a screen or a step was come to: a field that waits for a hand scanner, else this. */
export function beginAt(otherwise: string): void {
  (document.querySelector<HTMLElement>('#sheet [data-first]') ?? document.getElementById(otherwise))?.focus({ preventScroll: true });
}

/** For a heading that a person asked for: it comes into sight and takes the focus. */
export function arrivedAt(node: HTMLElement): void {
  node.tabIndex = -1;
  node.scrollIntoView({ block: 'start' });
  node.focus({ preventScroll: true });
}
