// What a form asks for each kind of thing: in the order a mechanic would say it, with a hint, and what comes first. What a
// field is called, holds and needs is in the generated table; the notebook judges what was typed.
import { KINDS, SETS, type FieldDef } from '../../generated/fields';
import type { Kind } from '../../generated/wire';
import type { FieldSpec } from '../../shared/fields';
import type { Fresh, Option } from '../../shared/options';
import { fieldOf } from '../../words';
import type { Added, Changed } from './keeping';

/** The fields of a kind. */
type FieldOf<K extends Kind> = keyof (typeof KINDS)[K]['fields'];
/** How a form asks for a field. */
type Ask = Pick<FieldSpec, 'hint' | 'first'> & {
  /** The form wants it, though the record could be without. */
  wanted?: boolean;
};
/** Lists to pick from, by the field that picks from them. */
export type Lists = Readonly<Record<string, readonly Option[]>>;

const FIRST: Ask = { first: true };
const MORE: Ask = {};
const OF_THE_CAR = 'None where it is of the whole car';
const MEASURE = 'As you would say it: 12 thou, 0.30 mm, 2 5/8 in';

const FORMS = {
  car: { name: MORE, make: MORE, model: MORE, year: MORE, body_number: MORE, engine_number: MORE, papers_number: MORE, colour: MORE, note: MORE },
  keeper: { name: FIRST, pattern: FIRST },
  device: { name: MORE },
  assembly: { name: FIRST, parent: FIRST, for_trial: { hint: 'Why, or until when: it comes off again' }, kept_in: MORE, note: MORE },
  part: {
    name: FIRST,
    assembly: FIRST,
    position: { first: true, hint: 'Cylinder 3, left front, second from the rear' },
    way_round: { first: true, hint: 'Which way up, which side, which clock position; of an empty place: nothing belongs here' },
    marks: { hint: 'Cut, scribed or punched: where, and what it means' },
    container: FIRST,
    differs: MORE,
    differs_why: MORE,
    quantity: MORE,
    number: MORE,
    decision: MORE,
    decision_why: MORE,
    old_one: { hint: 'When another comes in its place' },
    use_once: MORE,
    note: MORE,
  },
  finding: {
    about: FIRST,
    what: FIRST,
    how_bad: FIRST,
    how_sure: { first: true, hint: 'Only suspected, it is asked about when its place is next open, and at closing' },
    came_by: MORE,
    because_of: { hint: 'The other finding that came before it' },
    on: MORE,
    note: MORE,
  },
  job: {
    what: FIRST,
    assembly: { first: true, hint: OF_THE_CAR },
    part: MORE,
    minutes: MORE,
    tools: MORE,
    hands: { hint: 'Two, where one holds it up' },
    helper: { hint: 'By name; a helper need not be a keeper' },
    not_before: { hint: 'It soaks, hardens, or is on its way' },
    not_before_time: { hint: 'By the clock of the garage: 18:30' },
    waits_for: MORE,
    waits_why: { hint: 'Glue to harden; Pete, who has the puller' },
    needs_apart: MORE,
    after: MORE,
    needs_parts: MORE,
    note: MORE,
  },
  try: { job: MORE, what: FIRST, tool: FIRST, came_of_it: FIRST, worked: FIRST, on: MORE },
  photo: { caption: FIRST, about: FIRST, stage: FIRST, on: MORE },
  container: { code: { first: true, hint: 'Short, as on its label: B14' }, name: FIRST, inside: FIRST, place: FIRST },
  limit: {
    what: FIRST,
    about: FIRST,
    condition: FIRST,
    low: { first: true, hint: MEASURE },
    high: { first: true, hint: MEASURE },
    book: FIRST,
    edition: MORE,
    page: FIRST,
    judges: { hint: 'Of a grid: every value of it where nothing is said' },
    if_low: MORE,
    if_high: MORE,
  },
  instrument: {
    name: FIRST,
    resolution: { first: true, hint: MEASURE },
    uncertainty: { first: true, hint: MEASURE },
    least: { hint: 'A reading below it is told: 25 mm' },
    most: { hint: 'A reading above it is told: 50 mm' },
    checked_on: MORE,
    checked_against: MORE,
  },
  reading: {
    what: FIRST,
    about: FIRST,
    at: { first: true, hint: 'Cylinder 2, top, across' },
    value: { first: true, wanted: true, hint: MEASURE },
    instrument: FIRST,
    limit: FIRST,
    more_limits: { hint: 'Taper and out of round beside the size; the wear limit beside that of a new part' },
    temperature: { hint: '18 °C' },
    on: MORE,
  },
  order: { what: FIRST, part: FIRST, state: { first: true, wanted: true }, from: FIRST, price: { hint: '£12.50, or 12.50 GBP' }, due: MORE },
  tightening_run: {
    what: FIRST,
    assembly: FIRST,
    layout: FIRST,
    bolts: FIRST,
    rows: { first: true, hint: 'Where they lie in rows' },
    torque: { first: true, hint: 'As the car’s own manual has it, with its unit: N·m or lbf·ft' },
    passes: { first: true, hint: 'Per cent of it: 30, 60, 100' },
    conditions: { first: true, hint: 'Threads dry or oiled, washers, grade: a torque means nothing without' },
    source: { first: true, hint: 'Book, edition, page' },
    instrument: FIRST,
    on: MORE,
  },
  hold_point: { what: FIRST, assembly: { first: true, hint: OF_THE_CAR }, how: FIRST, wanted: { first: true, hint: 'Where they are counted: it is met by just as many' }, limit: { first: true, hint: 'Where it is measured: what meets it is held against this' } },
} as const satisfies { readonly [K in Changed]: { readonly [F in FieldOf<K>]?: Ask } };

/** Fields that no form asks for, and why. */
export const LEFT_OUT: { readonly [K in Changed]?: { readonly [F in FieldOf<K>]?: string } } = {
  device: {
    keeper: 'stays as it was entered',
    key: 'the program puts it',
    seal: 'the program puts it',
    revoked: 'has a page of its own, which says what it means',
  },
  assembly: {
    state: 'has buttons of its own; closing up asks what is open',
    order: 'the program puts it',
    opened: 'the program puts it when it is opened',
    taken_apart: 'the program puts it when it is taken off or apart',
    off_car: 'has a button of its own, where it is closed',
  },
  part: { on: 'the day that the form was open for', order: 'is said where its assembly lists its parts' },
  finding: { ended: 'is said on its page, and where a job is done', photos: 'are put where a photo becomes a finding' },
  job: {
    state: 'has buttons of its own',
    left_off: 'is asked where it is left off',
    undone_by: 'is asked where a bigger job does it as well, or undid it',
    outcome: 'is asked when the job is done',
    on: 'the day that the form was open for',
    remedy_of: 'is put where a remedy becomes a job',
  },
  photo: { hash: 'is reckoned from its bytes' },
  reading: {
    again: 'the form of readings asks for it below the value',
    grid: 'the form of readings asks for it in place of the value',
    grid_names: 'the form of readings asks for them with the grid',
    knew_of: 'the program puts it',
  },
  order: { on: 'the day that the form was open for', remedy_of: 'is put where a remedy becomes an order' },
  hold_point: { state: 'is put when it is met', met_how: 'is asked when it is met', met_by: 'is put when it is met', on: 'the day that it is met' },
};

/** Kinds that no form adds or changes, and why. */
export const NO_FORM: Readonly<Record<Exclude<Kind, Changed>, string>> = {
  sheet: 'is written on as a text, with what came in meanwhile kept',
  waiver: 'is written by closing up',
  settlement: 'is written by settling a point',
  kept_answer: 'is kept from the bench',
  tightened: 'is entered on the page of its run',
};

/** Kinds that a form changes and none adds, and why. */
const ADDED_ELSEWHERE: Readonly<Record<Exclude<Changed, Added>, string>> = {
  car: 'is begun with its record',
  device: 'enters itself when it joins',
};

/** Whether a form can change this kind. */
export const hasForm = (kind: Kind): kind is Changed => Object.hasOwn(FORMS, kind);

/** Whether a form can add this kind. */
export const isAdded = (kind: Changed): kind is Added => !Object.hasOwn(ADDED_ELSEWHERE, kind);

/** The names of what a kind's form asks for, in its order. */
export const askedOf = (kind: Kind): string[] => (hasForm(kind) ? Object.keys(FORMS[kind]) : []);

/** Fields in the order of a kind's form; those that it does not ask for after them, as they came. */
export function inOrder<F extends { readonly field: string }>(kind: Kind, fields: readonly F[]): F[] {
  const order = askedOf(kind);
  const place = ({ field }: F) => (order.includes(field) ? order.indexOf(field) : order.length);
  return fields.toSorted((a, b) => place(a) - place(b));
}

/** The fields of a kind's form. */
export function fieldsOf(kind: Changed, lists: Lists): FieldSpec[] {
  const asks: Readonly<Record<string, Ask>> = FORMS[kind];
  return Object.entries(asks).flatMap(([name, { wanted, ...ask }]) => {
    const def = fieldOf(kind, name);
    return def ? [specOf(name, def, ask, wanted === true, lists[name])] : [];
  });
}

/** What may be made new in the midst of another form: what has a short form of its own. */
const MADE_NEW: readonly Kind[] = ['assembly', 'part', 'container', 'instrument', 'limit', 'job', 'finding'];

function freshOf(def: FieldDef): Fresh[] {
  return MADE_NEW.filter((kind) => def.to?.includes(kind)).map((kind) => ({ kind, words: KINDS[kind].said }));
}

function specOf(name: string, def: FieldDef, ask: Ask, wanted: boolean, options: readonly Option[] | undefined): FieldSpec {
  return {
    ...ask,
    name,
    label: def.label,
    shape: def.shape,
    required: def.required || wanted,
    ...(def.set ? { words: SETS[def.set] } : {}),
    ...(def.to ? { options: options ?? [], fresh: freshOf(def) } : {}),
  };
}
