// The way back from what was just done: what it changed is put back as it was, unless somebody wrote something else there since. What was
// done later is never undone by an earlier act's undo; and of several things none is put back
// before all were looked at.
import { Refused } from '../../faces/face';
import type { Day, Id, Kind, Ref } from '../../generated/wire';
import type { Given } from '../../shared/fields';
import { notebook } from '../../state/notebook.svelte';
import type { Undo } from '../../state/told.svelte';
import { isStruckOut } from '../../words';
import { change, type Changed } from './keeping';

/** One thing that is put back: as long as it stands as the act left it. */
export type Way = { stands: () => Promise<boolean>; put: () => Promise<unknown> };

/** Asked for right after the act; `read` tells how that which it changed stands. */
async function way(read: () => Promise<unknown>, put: () => Promise<unknown>): Promise<Way> {
  const now = async () => JSON.stringify((await read()) ?? null);
  // The act is done, whether or not this can be read: what cannot be held against it is not put back.
  const left = await now().catch(() => null);
  return { stands: async () => left !== null && (await now()) === left, put };
}

/** Looks at all of them, and puts them back where all stand as they were left; the last that was done first. */
export function backBy(ways: readonly Way[]): Undo {
  return async () => {
    for (const { stands } of ways) {
      if (!(await stands())) throw new Refused('changed_since', 'it was changed again since, and stays as it is now.');
    }
    for (const { put } of ways.toReversed()) await put();
  };
}

/** Back to what fields held before. */
export function wayOf(kind: Changed, id: Id, before: Record<string, Given>): Promise<Way> {
  const read = async () => {
    const { form } = await notebook.call('entry', { kind, id });
    return Object.keys(before).map((field) => form[field] ?? null);
  };
  return way(read, () => change(kind, id, before));
}

/** The way back from fields that were just changed; `before` is what they held before it. */
export async function wayBack(kind: Changed, id: Id, before: Record<string, Given>): Promise<Undo> {
  return backBy([await wayOf(kind, id, before)]);
}

/** What was just entered is struck out, as everything that is not meant. */
export function wayOfAdded(name: Ref): Promise<Way> {
  const at = name.indexOf(':');
  const read = async () => {
    const { form, struck } = await notebook.call('entry', { kind: name.slice(0, at) as Kind, id: name.slice(at + 1) });
    return [form, struck];
  };
  return way(read, () => notebook.call('strike', { name, why: 'Undone at once' }));
}

/** The way back from what was just entered; nothing of a kind that stays. */
export async function undoAdded(name: Ref): Promise<Undo | null> {
  return isStruckOut(name.slice(0, name.indexOf(':')) as Kind) ? backBy([await wayOfAdded(name)]) : null;
}

/** My own sheet of a day, as it stands. */
export async function mySheet(day: Day): Promise<{ text: string; hours: string }> {
  const { sheets } = await notebook.call('day', { day, minutes_east: -new Date(`${day}T12:00`).getTimezoneOffset() });
  const mine = sheets.find((sheet) => sheet.mine);
  return { text: mine?.text ?? '', hours: mine?.hours ?? '' };
}

/** The way back from what was just written on my sheet, its text or its hours. */
export async function backOnSheet(day: Day, of: 'text' | 'hours', put: () => Promise<unknown>): Promise<Undo> {
  return backBy([await way(async () => (await mySheet(day))[of], put)]);
}
