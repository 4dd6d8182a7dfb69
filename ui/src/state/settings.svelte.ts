// What this device prefers: light or dark, gloves or none, units, how large its letters are, and in which currency a sum is that says none. It is kept on the device only, never in the record.
export type Theme = 'system' | 'light' | 'dark';
export type Units = 'metric' | 'inch';
export type Letters = 'usual' | 'large' | 'largest';

const KEPT = 'witnessmark-settings';

type Kept = { theme: Theme; gloves: boolean; units: Units; letters: Letters; /** By its three letters; empty: nobody chose, and nothing is guessed. */ currency: string };

function read(): Kept {
  const standard: Kept = { theme: 'system', gloves: false, units: 'metric', letters: 'usual', currency: '' };
  try {
    return { ...standard, ...(JSON.parse(localStorage.getItem(KEPT) ?? '{}') as Partial<Kept>) };
  } catch {
    return standard;
  }
}

class Settings {
  theme = $state<Theme>('system');
  gloves = $state(false);
  units = $state<Units>('metric');
  letters = $state<Letters>('usual');
  currency = $state('');

  /** Takes what was kept, and shows it. */
  open(): void {
    const { theme, gloves, units, letters, currency } = read();
    this.theme = theme;
    this.gloves = gloves;
    this.units = units;
    this.letters = letters;
    this.currency = currency;
    this.#show();
  }

  /** Puts one of them, and keeps it. */
  put(change: Partial<Kept>): void {
    Object.assign(this, change);
    try {
      localStorage.setItem(KEPT, JSON.stringify({ theme: this.theme, gloves: this.gloves, units: this.units, letters: this.letters, currency: this.currency }));
    } catch {
      // A browser that keeps nothing still shows what was chosen until it is closed.
    }
    this.#show();
  }

  #show(): void {
    const root = document.documentElement;
    if (this.theme === 'system') delete root.dataset['theme'];
    else root.dataset['theme'] = this.theme;
    if (this.letters === 'usual') delete root.dataset['letters'];
    else root.dataset['letters'] = this.letters;
    root.classList.toggle('gloves', this.gloves);
  }
}

/** The one set of preferences of the page. */
export const settings = new Settings();
