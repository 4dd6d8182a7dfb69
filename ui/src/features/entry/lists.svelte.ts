// Lists to pick from, asked from the notebook when a form opens. They never outlive the form.
import type { Named } from '../../generated/wire';
import type { Option } from '../../shared/options';
import { notebook } from '../../state/notebook.svelte';
import { KIND } from '../../words';
import type { Lists } from './kinds';

const idOf = (ref: string) => ref.slice(ref.indexOf(':') + 1);
const kindOf = (ref: string) => ref.slice(0, ref.indexOf(':')) as keyof typeof KIND;
const byId = (list: Named[]): Option[] => list.map((named) => ({ value: idOf(named.name), label: named.title }));
const byRef = (list: Named[]): Option[] =>
  list.map((named) => ({ value: named.name, label: named.title, group: KIND[kindOf(named.name)] ?? '' }));

/** The tree of assemblies as options, by id or by reference. */
async function assemblies(reference: boolean): Promise<Option[]> {
  const car = await notebook.call('car', {});
  return car.tree.map((line) => ({
    value: reference ? `assembly:${line.id}` : line.id,
    label: line.name,
    depth: line.depth,
  }));
}

const list = (kind: 'part' | 'container' | 'job' | 'limit' | 'instrument' | 'keeper' | 'finding' | 'hold_point') =>
  notebook.call('list', { kind });

/** Asks one list. */
async function ask(name: keyof Lists): Promise<readonly Option[]> {
  switch (name) {
    case 'assembly':
      return assemblies(false);
    case 'about':
      return [...(await assemblies(true)), ...byRef(await list('part')), { value: 'car:car', label: 'The whole car', group: 'car' }];
    case 'reckoned':
      return [...(await assemblies(true)), ...(await Promise.all([list('part'), list('job')])).flatMap(byRef), { value: 'car:car', label: 'The whole car', group: 'car' }];
    case 'measured':
      return [...(await assemblies(true)), ...byRef(await list('part'))];
    case 'shown': {
      const more = await Promise.all([list('part'), list('job'), list('finding'), list('container'), list('hold_point')]);
      return [...(await assemblies(true)), ...more.flatMap(byRef), { value: 'car:car', label: 'The whole car', group: 'car' }];
    }
    default:
      return byId(await list(name));
  }
}

/** Asks all of these lists. */
export async function askLists(names: readonly (keyof Lists)[]): Promise<Lists> {
  const asked = await Promise.all(names.map(async (name) => [name, await ask(name)] as const));
  return Object.fromEntries(asked);
}
