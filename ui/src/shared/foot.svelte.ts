// The foot of a sheet, under the thumb: a form in the sheet lays its one act there. It keeps nothing and runs nothing; the button is
// the form's own, by its id.
import { getContext, setContext } from 'svelte';

/** What a form lays under the thumb. */
export type Act = { form: string; words: string; busy: boolean };

class Foot {
  act = $state.raw<Act | null>(null);
}

const KEY = Symbol('the foot of a sheet');

/** The foot of the sheet that asks; forms inside it find it. */
export const layFoot = (): Foot => setContext(KEY, new Foot());
/** The foot of the sheet around, where there is one. */
export const footAround = (): Foot | undefined => getContext<Foot | undefined>(KEY);
