// From a form to the registry, without a cast: what was typed is looked through by the generated table, and the compiler holds
// that table against the types of the wire, kind by kind. It decides nothing: what fits its shape may still be refused.
import { Refused, type Args, type Name } from '../../faces/face';
import type { KINDS, Shape } from '../../generated/fields';
import type { Id, Kind, Ref } from '../../generated/wire';
import type { Given } from '../../shared/fields';
import { notebook } from '../../state/notebook.svelte';
import { settings } from '../../state/settings.svelte';
import { fieldOf, labelOf } from '../../words';

/** Kinds that a command adds. */
export type Added = { [N in Name]: N extends `add_${infer K extends Kind}` ? K : never }[Name];
/** Kinds that a command changes. */
export type Changed = { [N in Name]: N extends `change_${infer K extends Kind}` ? K : never }[Name];

/** What a field of a shape is on the wire. */
interface OnWire {
  line: string;
  prose: string;
  whole: number;
  flag: boolean;
  day: string;
  measure: string;
  measures: string;
  grid: string;
  ending: string;
  lies: string;
  money: string;
  word: string;
  link: Id;
  about: Ref;
  set: Id[];
}

type Fields<K extends Kind> = (typeof KINDS)[K]['fields'];
type ShapeOf<D> = D extends { readonly shape: infer S extends Shape } ? S : never;
/** Fields of a kind as the table has them. */
type ByTable<K extends Kind> = { -readonly [F in keyof Fields<K>]?: OnWire[ShapeOf<Fields<K>[F]>] | null };

/** Holds where the compiler says so, and nowhere else. */
type Holds<T extends true> = T;
/** The commands take just what the table says: a kind of which that is not so does not compile. */
export type TableFitsWire = [
  Holds<{ [K in Added]: ByTable<K> extends Args<`add_${K}`> ? true : false }[Added]>,
  Holds<{ [K in Changed]: { id: Id; fields: ByTable<K> } extends Args<`change_${K}`> ? true : false }[Changed]>,
];

type Typed = Readonly<Record<string, Given>>;

const text = (value: Given) => typeof value === 'string';
const FITS: Readonly<Record<Shape, (value: Given) => boolean>> = {
  line: text,
  prose: text,
  whole: (value) => typeof value === 'number' && Number.isInteger(value),
  flag: (value) => typeof value === 'boolean',
  day: text,
  measure: text,
  measures: text,
  grid: text,
  ending: text,
  lies: text,
  money: text,
  word: text,
  link: text,
  about: text,
  set: (value) => Array.isArray(value),
};

/** The first field that the kind does not have, or whose value is not of its shape; nothing where all of them fit. */
export function unfit(kind: Kind, typed: Typed): string | undefined {
  return Object.keys(typed).find((name) => {
    const value = typed[name];
    const def = fieldOf(kind, name);
    return def === undefined || value === undefined || !(value === null || FITS[def.shape](value));
  });
}

function refusal(kind: Kind, typed: Typed): Refused {
  const field = unfit(kind, typed) ?? '';
  const whole = fieldOf(kind, field)?.shape === 'whole';
  const why = whole ? 'a whole number is wanted, in digits alone' : 'this form has no such field';
  return new Refused('misfit', `${labelOf(kind, field)}: ${why}.`, { field, why });
}

const adds = <K extends Added>(kind: K, args: Typed): args is Typed & Args<`add_${K}`> => unfit(kind, args) === undefined;
const changes = <K extends Changed>(kind: K, args: { id: Id; fields: Typed }): args is { id: Id; fields: Typed } & Args<`change_${K}`> =>
  unfit(kind, args.fields) === undefined;

/** Sums without a sign in the currency that was chosen on this device, as the core reads them; what it cannot read stays as it was typed,
 *  and is refused with the rest of the form. */
async function inHouse(kind: Kind, typed: Typed): Promise<Typed> {
  const { currency } = settings;
  const sums = currency ? Object.entries(typed).filter(([name, value]) => typeof value === 'string' && fieldOf(kind, name)?.shape === 'money') : [];
  const read = async ([name, sum]: [string, Given]): Promise<[string, Given]> => {
    const said = await notebook.call('money', { typed: String(sum), currency }).catch(() => null);
    return [name, said?.kept ?? sum];
  };
  return sums.length === 0 ? typed : { ...typed, ...Object.fromEntries(await Promise.all(sums.map(read))) };
}

/** Enters one of a kind; its id. */
export async function add<K extends Added>(kind: K, given: Typed): Promise<Id> {
  const typed = await inHouse(kind, given);
  if (!adds(kind, typed)) throw refusal(kind, typed);
  return (await notebook.call(`add_${kind}`, typed)).id;
}

/** Enters several parts that are alike but for their position, in one act. */
export async function addParts(typed: Typed, positions: readonly string[]) {
  if (!adds('part', typed)) throw refusal('part', typed);
  return notebook.call('add_parts', { part: typed, positions: [...positions] });
}

/** Changes one of a kind. */
export async function change<K extends Changed>(kind: K, id: Id, fields: Typed): Promise<void> {
  const args = { id, fields: await inHouse(kind, fields) };
  if (!changes(kind, args)) throw refusal(kind, fields);
  await notebook.call(`change_${kind}`, args);
}
