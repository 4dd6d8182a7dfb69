// The way back from fields that were just changed: they are put back as they were, unless somebody wrote something else into one of them
// since. What was done later is never undone by an earlier act's undo.
import { Refused } from '../../faces/face';
import type { Id } from '../../generated/wire';
import type { Given } from '../../shared/fields';
import { notebook } from '../../state/notebook.svelte';
import type { Undo } from '../../state/told.svelte';
import { change, type Changed } from './keeping';

/** Asked for right after the change; `before` is what its fields held before it. */
export async function wayBack(kind: Changed, id: Id, before: Record<string, Given>): Promise<Undo> {
  const read = async () => {
    const { form } = await notebook.call('entry', { kind, id });
    return JSON.stringify(Object.keys(before).map((field) => form[field] ?? null));
  };
  const left = await read();
  return async () => {
    if ((await read()) !== left) throw new Refused('changed_since', 'it was changed again since, and stays as it is now.');
    await change(kind, id, before);
  };
}
