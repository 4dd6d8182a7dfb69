// The short line that says a command was kept, shown and read out. It never tells of a refusal: those stay at their form.
class Told {
  words = $state('');
  #timer: ReturnType<typeof setTimeout> | undefined;

  /** Says it for a while. */
  say(words: string): void {
    clearTimeout(this.#timer);
    this.words = words;
    this.#timer = setTimeout(() => (this.words = ''), 5_000);
  }
}

/** The one line of the page. */
export const told = new Told();
