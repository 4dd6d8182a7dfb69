// What a person opened stays open: folds are known by the page they are on and by their names, so that one that is laid out anew after a
// change, or on a page that is come back to, lies as it was left. Nothing is kept longer than the page of the program.
import type { Attachment } from 'svelte/attachments';
import { notebook } from './notebook.svelte';
import { route, to } from './route.svelte';

/** As many are remembered. */
const MOST = 400;

/** How folds were left, by where they are and what they are called. */
export class Folds {
  #left = new Map<string, boolean>();

  /** How it was left; nothing where nobody touched it. */
  of(where: string, name: string): boolean | undefined {
    return this.#left.get(`${where} ${name}`);
  }

  /** Remembers how it is left. */
  put(where: string, name: string, open: boolean): void {
    const key = `${where} ${name}`;
    // The one that was touched longest ago is forgotten first.
    this.#left.delete(key);
    this.#left.set(key, open);
    const [oldest] = this.#left.keys();
    if (this.#left.size > MOST && oldest !== undefined) this.#left.delete(oldest);
  }
}

const folds = new Folds();

/** A fold that is gone to. */
let sought = '';

/** Has a fold of another page lie open and in sight when that is gone to. */
export function goesTo(address: string, name: string): void {
  const where = `${notebook.record} ${address}`;
  folds.put(where, name, true);
  sought = `${where} ${name}`;
}

/** Laid on a fold: it lies as it was left on this page, whatever is asked for again. */
export function stays(name: string): Attachment<HTMLDetailsElement> {
  const where = `${notebook.record} ${to(route.here.place, route.here.thing)}`;
  return (fold) => {
    const left = folds.of(where, name);
    if (left !== undefined) fold.open = left;
    if (sought === `${where} ${name}`) {
      sought = '';
      // After the page has put its heading in sight.
      setTimeout(() => fold.scrollIntoView({ block: 'start' }), 50);
    }
    const toggled = () => folds.put(where, name, fold.open);
    fold.addEventListener('toggle', toggled);
    return () => fold.removeEventListener('toggle', toggled);
  };
}
