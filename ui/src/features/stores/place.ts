// How a part is put somewhere and taken back: by the notebook's own commands, with what it was before for the way back.
import type { Id } from '../../generated/wire';
import { notebook } from '../../state/notebook.svelte';
import { told } from '../../state/told.svelte';
import { backBy, wayBack, wayOf } from '../entry/wayBack';

async function lain(part: Id): Promise<string | null> {
  const was = (await notebook.call('entry', { kind: 'part', id: part })).form['container'];
  return typeof was === 'string' && was !== '' ? was : null;
}

const put = (part: Id, container: string | null) => notebook.call('change_part', { id: part, fields: { container } });

/** Puts a part where it is said to lie; undone, it lies where it lay. */
export async function lay(part: Id, container: string, says: string): Promise<void> {
  const was = await lain(part);
  await put(part, container);
  told.say(says, await wayBack('part', part, { container: was }));
}

/** Puts parts in their places, as one change; undone, each lies where it lay. */
export async function inPlace(parts: readonly Id[], says: string): Promise<void> {
  const were = await Promise.all(parts.map(async (part) => [part, await lain(part)] as const));
  await notebook.call('put_in_place', { parts: [...parts] });
  told.say(says, backBy(await Promise.all(were.map(([part, was]) => wayOf('part', part, { container: was })))));
}
