// Which letter's field is being typed in, so that the drawing can point at it. It is told by the bench and asked by the letters.
import { getContext, setContext } from 'svelte';

const KEY = 'bench-letter';
type Now = { readonly letter: string };

/** Tells the drawings below which letter is wanted just now. */
export function tellLetter(now: Now): void {
  setContext(KEY, now);
}

/** Which letter is wanted just now; none where nobody tells. */
export function letterNow(): Now {
  return getContext<Now | undefined>(KEY) ?? { letter: '' };
}
