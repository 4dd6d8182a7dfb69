// An error stands at its field: the field is marked as wrong and lies under the fingers, so that nobody looks for it.
import type { Attachment } from 'svelte/attachments';

/** Laid on a field: while words stand against what is in it, it says so, and it is focused when they come. */
export function wrongIf(words: string): Attachment<HTMLElement> {
  return (field) => {
    if (words === '') return undefined;
    field.setAttribute('aria-invalid', 'true');
    field.focus({ preventScroll: true });
    field.scrollIntoView({ block: 'center' });
    return () => field.removeAttribute('aria-invalid');
  };
}

/** Laid around a list to pick from, which says by itself that it is wrong: what is pressed first in it is focused when words come. */
export function wrongWithin(words: string): Attachment<HTMLElement> {
  return (around) => {
    if (words === '') return;
    around.querySelector<HTMLElement>('input, button')?.focus({ preventScroll: true });
    around.scrollIntoView({ block: 'center' });
  };
}
