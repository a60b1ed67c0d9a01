// Light or dark: as the device prefers until the person chooses; the choice stays on this device.

type Theme = 'light' | 'dark';
const key = 'dwell-theme';

function stored(): Theme | null {
  try {
    const value = localStorage.getItem(key);
    return value === 'light' || value === 'dark' ? value : null;
  } catch {
    return null; // storage may be forbidden
  }
}

class ThemeChoice {
  shown = $state<Theme>('light');

  start(): void {
    const dark = matchMedia('(prefers-color-scheme: dark)');
    const show = (): void => this.show(stored() ?? (dark.matches ? 'dark' : 'light'));
    dark.addEventListener('change', show);
    show();
  }

  turn(): void {
    const next = this.shown === 'dark' ? 'light' : 'dark';
    try {
      localStorage.setItem(key, next);
    } catch {
      // The choice then lasts as long as the page.
    }
    this.show(next);
  }

  private show(theme: Theme): void {
    this.shown = theme;
    document.documentElement.dataset['theme'] = theme;
  }
}

export const theme = new ThemeChoice();
