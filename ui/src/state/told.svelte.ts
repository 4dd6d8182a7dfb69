// The short line that says what was done, shown under the thumb and read out, with the way to undo it where there is one. It never
// tells of a form's refusal: those stay at their form.
import { refused } from '../faces/face';

/** Undoes what was told of. */
export type Undo = () => Promise<unknown>;

/** So long it stays, in milliseconds: longer where something can be pressed. */
const STAYS = 6_000;
const STAYS_TO_PRESS = 12_000;
/** So long a thumb may be on its way. */
const UNDERWAY = 600;
/** What was said so lately belongs to the act that also went on to another page. */
const FRESH = 1_500;

class Told {
  words = $state('');
  /** What pressing 'Undo' does; nothing where there is no undoing. */
  undo = $state.raw<Undo | null>(null);
  /** What is offered in place of an undo, and what pressing it does. */
  offers = $state.raw<{ words: string; act: () => void } | null>(null);
  /** Whether it has only just come up: a thumb that was on its way meant what lay there before. */
  fresh = $state(false);
  #timer: ReturnType<typeof setTimeout> | undefined;
  #settling: ReturnType<typeof setTimeout> | undefined;
  #at = 0;

  /** Says it for a while. */
  say(words: string, undo: Undo | null = null): void {
    clearTimeout(this.#timer);
    clearTimeout(this.#settling);
    this.words = words;
    this.undo = undo;
    this.offers = null;
    this.fresh = true;
    this.#at = Date.now();
    this.#settling = setTimeout(() => (this.fresh = false), UNDERWAY);
    this.#timer = setTimeout(() => this.leave(), undo ? STAYS_TO_PRESS : STAYS);
  }

  /** Says it, and offers to do something about it. */
  offer(words: string, press: string, act: () => void): void {
    this.say(words, () => Promise.resolve());
    this.undo = null;
    this.offers = { words: press, act };
  }

  /** Says it no longer. */
  leave(): void {
    clearTimeout(this.#timer);
    this.words = '';
    this.undo = null;
    this.offers = null;
  }

  /** Something else is begun: an 'Undo' pressed from here on, before that is told of, would take back what was done before it. */
  over(): void {
    this.undo = null;
  }

  /** Another page is shown: what was said before that is old. */
  moved(): void {
    if (Date.now() - this.#at > FRESH) this.leave();
  }

  /** Undoes it, and says so; where that is refused, says why. */
  async takeBack(): Promise<void> {
    const undo = this.undo;
    this.undo = null;
    if (!undo) return;
    try {
      await undo();
      this.say('Undone.');
    } catch (thrown) {
      this.say(`Not undone: ${refused(thrown).message}`);
    }
  }
}

/** The one line of the page. */
export const told = new Told();
