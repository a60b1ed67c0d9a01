// Which of the three layouts is shown, by the same widths as the styles: they are counted in letters, so that larger letters come to
// the next smaller layout as a smaller screen does.
export type Layout = 'desktop' | 'tablet' | 'phone';

class Shown {
  is = $state<Layout>('desktop');
  /** How many px stand for one of the usual size of letters. */
  scale = $state(1);

  constructor() {
    const phone = matchMedia('(max-width: 37.49em), (max-height: 31.24em)');
    const tablet = matchMedia('(max-width: 68.74em)');
    const look = (): void => {
      this.is = phone.matches ? 'phone' : tablet.matches ? 'tablet' : 'desktop';
      this.scale = Number.parseFloat(getComputedStyle(document.documentElement).fontSize) / 16;
    };
    phone.addEventListener('change', look);
    tablet.addEventListener('change', look);
    look();
  }
}

export const layout = new Shown();
