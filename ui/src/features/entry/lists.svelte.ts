// Lists to pick from, asked from the notebook when a form opens: what a field may name is said by the table of fields. They
// never outlive the form.
import type { FieldDef } from '../../generated/fields';
import type { Kind, Named } from '../../generated/wire';
import type { Option } from '../../shared/options';
import { notebook } from '../../state/notebook.svelte';
import { fieldOf, KIND, said } from '../../words';
import { askedOf, type Lists } from './kinds';

const idOf = (ref: string) => ref.slice(ref.indexOf(':') + 1);
const WHOLE_CAR: Option = { value: 'car:car', label: 'The whole car', group: 'car' };

/** A part may lie where it belongs; whatever else is said of it is said on its page. */
const IN_PLACE: Option = { value: 'place:', label: 'In its place' };

/** The tree of assemblies as options, by id or by reference. */
async function assemblies(reference: boolean): Promise<Option[]> {
  const car = await notebook.call('car', {});
  return car.tree.map((line) => ({
    value: reference ? `assembly:${line.id}` : line.id,
    label: line.name,
    depth: line.depth,
  }));
}

/** One kind as options; by reference it says its kind. */
async function one(kind: Kind, reference: boolean): Promise<Option[]> {
  if (kind === 'assembly') return assemblies(reference);
  if (kind === 'car') return [WHOLE_CAR];
  const list: Named[] = await notebook.call('list', { kind });
  return list.map(({ name, title }) => (reference ? { value: name, label: title, group: said(KIND, kind) } : { value: idOf(name), label: title }));
}

/** What a field may name: assemblies first, as the tree has them, and the car last. */
async function ask(def: FieldDef): Promise<readonly Option[]> {
  const rank = (kind: Kind) => (kind === 'assembly' ? 0 : kind === 'car' ? 2 : 1);
  const kinds = [...(def.to ?? [])].sort((a, b) => rank(a) - rank(b));
  const all = (await Promise.all(kinds.map((kind) => one(kind, def.shape === 'about')))).flat();
  return def.shape === 'lies' ? [IN_PLACE, ...all] : all;
}

/** The list that a field picks from. */
export async function listOf(kind: Kind, field: string): Promise<readonly Option[]> {
  const def = fieldOf(kind, field);
  return def ? ask(def) : [];
}

/** All the lists that a kind's form picks from; what two of its fields pick from is asked once. */
export async function listsOf(kind: Kind): Promise<Lists> {
  const asked = new Map<string, Promise<readonly Option[]>>();
  const lists = askedOf(kind).flatMap((field) => {
    const def = fieldOf(kind, field);
    if (!def?.to) return [];
    const key = `${def.shape === 'about'} ${def.to.join(' ')}`;
    const list = asked.get(key) ?? ask(def);
    asked.set(key, list);
    return [list.then((options) => [field, options] as const)];
  });
  return Object.fromEntries(await Promise.all(lists));
}
