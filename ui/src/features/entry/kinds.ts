// What a form asks for each kind of thing, in the order a mechanic would say it. It names fields; the notebook judges them.
import type { Kind } from '../../generated/wire';
import type { FieldSpec } from '../../shared/fields';
import type { Option } from '../../shared/options';
import * as words from '../../words';

/** Lists to pick from, by what they hold. */
export type Lists = Partial<Record<'assembly' | 'part' | 'about' | 'container' | 'job' | 'limit' | 'instrument' | 'keeper' | 'shown' | 'measured' | 'reckoned', readonly Option[]>>;

type Draft = Omit<FieldSpec, 'label' | 'options'> & { label?: string; from?: keyof Lists };

const MEASURE = 'As you would say it: 12 thou, 0.30 mm, 2 5/8 in';

const TABLE: Partial<Record<Kind, readonly Draft[]>> = {
  car: [
    { name: 'name', shape: 'line', required: true },
    { name: 'make', shape: 'line' },
    { name: 'model', shape: 'line' },
    { name: 'year', shape: 'whole' },
    { name: 'body_number', shape: 'line' },
    { name: 'engine_number', shape: 'line' },
    { name: 'papers_number', shape: 'line' },
    { name: 'colour', shape: 'line' },
    { name: 'note', shape: 'prose' },
  ],
  keeper: [
    { name: 'name', shape: 'line', required: true, first: true },
    { name: 'pattern', shape: 'word', words: words.PATTERN, first: true },
  ],
  device: [{ name: 'name', shape: 'line', required: true }],
  assembly: [
    { name: 'name', shape: 'line', required: true, first: true },
    { name: 'parent', shape: 'pick', from: 'assembly', first: true },
    { name: 'kept_in', shape: 'pick', from: 'container' },
    { name: 'note', shape: 'prose' },
  ],
  part: [
    { name: 'name', shape: 'line', required: true, first: true },
    { name: 'assembly', shape: 'pick', from: 'assembly', first: true },
    { name: 'position', shape: 'line', first: true, hint: 'Cylinder 3, left front, second from the rear' },
    { name: 'way_round', shape: 'line', first: true, hint: 'Which way up, which side, which clock position' },
    { name: 'container', shape: 'pick', from: 'container', first: true },
    { name: 'quantity', shape: 'whole' },
    { name: 'number', shape: 'line' },
    { name: 'decision', shape: 'word', words: words.DECISION },
    { name: 'decision_why', shape: 'line', label: 'Why so' },
    { name: 'use_once', shape: 'flag' },
    { name: 'note', shape: 'prose' },
  ],
  finding: [
    { name: 'about', shape: 'pick', from: 'about', required: true, first: true },
    { name: 'what', shape: 'line', required: true, first: true, label: 'What was seen' },
    { name: 'how_bad', shape: 'word', words: words.HOW_BAD, first: true },
    { name: 'on', shape: 'day', required: true },
    { name: 'note', shape: 'prose' },
  ],
  job: [
    { name: 'what', shape: 'line', required: true, first: true, label: 'What is to be done' },
    { name: 'assembly', shape: 'pick', from: 'assembly', required: true, first: true },
    { name: 'part', shape: 'pick', from: 'part' },
    { name: 'minutes', shape: 'whole' },
    { name: 'tools', shape: 'line' },
    { name: 'needs_apart', shape: 'picks', from: 'assembly' },
    { name: 'after', shape: 'picks', from: 'job' },
    { name: 'needs_parts', shape: 'picks', from: 'part' },
    { name: 'note', shape: 'prose' },
  ],
  try: [
    { name: 'job', shape: 'pick', from: 'job', required: true },
    { name: 'what', shape: 'line', required: true, first: true, label: 'What was done' },
    { name: 'tool', shape: 'line', first: true },
    { name: 'came_of_it', shape: 'line', first: true },
    { name: 'worked', shape: 'flag', first: true },
    { name: 'on', shape: 'day', required: true },
  ],
  photo: [
    { name: 'caption', shape: 'line', first: true },
    { name: 'about', shape: 'pick', from: 'shown', first: true, label: 'What it shows' },
    { name: 'stage', shape: 'word', words: words.STAGE, first: true },
    { name: 'on', shape: 'day', required: true },
  ],
  container: [
    { name: 'code', shape: 'line', required: true, first: true, hint: 'Short, as on its label: B14' },
    { name: 'name', shape: 'line', first: true, label: 'What is in it' },
    { name: 'inside', shape: 'pick', from: 'container', first: true },
    { name: 'place', shape: 'line', first: true },
  ],
  limit: [
    { name: 'what', shape: 'line', required: true, first: true, label: 'What is measured' },
    { name: 'about', shape: 'pick', from: 'measured', first: true },
    { name: 'condition', shape: 'word', words: words.CONDITION, first: true },
    { name: 'low', shape: 'measure', first: true, hint: MEASURE },
    { name: 'high', shape: 'measure', first: true, hint: MEASURE },
    { name: 'book', shape: 'line', first: true },
    { name: 'edition', shape: 'line' },
    { name: 'page', shape: 'line', first: true },
    { name: 'judges', shape: 'word', words: words.PROPERTY, hint: 'Of a grid: every value of it where nothing is said' },
    { name: 'if_low', shape: 'word', words: words.MEND },
    { name: 'if_high', shape: 'word', words: words.MEND },
  ],
  instrument: [
    { name: 'name', shape: 'line', required: true, first: true },
    { name: 'resolution', shape: 'measure', first: true, hint: MEASURE },
    { name: 'uncertainty', shape: 'measure', first: true, hint: MEASURE },
    { name: 'least', shape: 'measure', hint: 'A reading below it is told: 25 mm' },
    { name: 'most', shape: 'measure', hint: 'A reading above it is told: 50 mm' },
    { name: 'checked_on', shape: 'day' },
    { name: 'checked_against', shape: 'line' },
  ],
  reading: [
    { name: 'what', shape: 'line', required: true, first: true, label: 'What was measured' },
    { name: 'about', shape: 'pick', from: 'measured', required: true, first: true },
    { name: 'at', shape: 'line', first: true, hint: 'Cylinder 2, top, across' },
    { name: 'value', shape: 'measure', required: true, first: true, hint: MEASURE },
    { name: 'instrument', shape: 'pick', from: 'instrument', first: true },
    { name: 'limit', shape: 'pick', from: 'limit', first: true },
    { name: 'more_limits', shape: 'picks', from: 'limit', hint: 'Taper and out of round beside the size; the wear limit beside that of a new part' },
    { name: 'temperature', shape: 'measure', hint: '18 °C' },
    { name: 'on', shape: 'day', required: true },
  ],
  order: [
    { name: 'what', shape: 'line', required: true, first: true },
    { name: 'part', shape: 'pick', from: 'part', first: true },
    { name: 'state', shape: 'word', words: words.ORDER_STATE, required: true, first: true },
    { name: 'from', shape: 'line', first: true },
    { name: 'price', shape: 'money', hint: '£12.50, or 12.50 GBP' },
    { name: 'due', shape: 'day' },
  ],
  tightening_run: [
    { name: 'what', shape: 'line', required: true, first: true, label: 'What is tightened' },
    { name: 'assembly', shape: 'pick', from: 'assembly', required: true, first: true },
    { name: 'layout', shape: 'word', words: words.LAYOUT, required: true, first: true },
    { name: 'bolts', shape: 'whole', required: true, first: true },
    { name: 'rows', shape: 'whole', first: true, hint: 'Where they lie in rows' },
    { name: 'torque', shape: 'measure', required: true, first: true, label: 'Torque of the last pass', hint: 'From the car’s own manual: 60 N·m, 44 lbf·ft' },
    { name: 'passes', shape: 'line', first: true, hint: 'Per cent of it: 30, 60, 100' },
    { name: 'conditions', shape: 'line', required: true, first: true, hint: 'Threads dry or oiled, washers, grade: a torque means nothing without' },
    { name: 'source', shape: 'line', first: true, hint: 'Book, edition, page' },
    { name: 'instrument', shape: 'pick', from: 'instrument', first: true, label: 'Wrench' },
    { name: 'on', shape: 'day', required: true },
  ],
  hold_point: [
    { name: 'what', shape: 'line', required: true, first: true, label: 'What must be so' },
    { name: 'assembly', shape: 'pick', from: 'assembly', required: true, first: true },
    { name: 'how', shape: 'word', words: words.HOW, required: true, first: true },
  ],
};

/** Kinds that a form can add or change. */
export function hasForm(kind: Kind): boolean {
  return TABLE[kind] !== undefined;
}

/** The lists that a kind's form picks from. */
export function listsOf(kind: Kind): (keyof Lists)[] {
  return [...new Set((TABLE[kind] ?? []).flatMap((draft) => (draft.from ? [draft.from] : [])))];
}

/** The fields of a kind's form. */
export function fieldsOf(kind: Kind, lists: Lists): FieldSpec[] {
  return (TABLE[kind] ?? []).map(({ from, ...draft }) => ({
    ...draft,
    label: draft.label ?? words.said(words.FIELD, draft.name),
    ...(from ? { options: lists[from] ?? [] } : {}),
  }));
}
