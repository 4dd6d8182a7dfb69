// Every words table of the pages: what states, kinds, fields, rules and choices are called when shown. A word that is
// not in its table (of a newer version) is shown as it is. Refusals and points bring their own sentences.
import type { Kind, Rule } from './generated/wire';

/** A word as shown; one that is in no table, without its underscores. */
export function said(table: Readonly<Record<string, string>>, word: string | null | undefined): string {
  if (word === null || word === undefined || word === '') return '';
  return Object.hasOwn(table, word) ? (table[word] ?? word) : word.replaceAll('_', ' ');
}

export const PLACES = { day: 'Day', car: 'Car', bench: 'Bench', stores: 'Stores', keepers: 'Keepers' } as const;

export const ASSEMBLY_STATE = { fitted: 'fitted', off: 'off', apart: 'apart', closed: 'closed', away: 'away' };
/** What pressing the state means. */
export const ASSEMBLY_STATE_SAYS = {
  fitted: 'on the car',
  off: 'off the car, in one piece',
  apart: 'taken apart',
  away: 'with somebody outside',
};
export const DECISION = { reuse: 'reuse', recondition: 'recondition', replace: 'replace' };
export const HOW_BAD = { noted: 'noted', watch: 'watch it', mend: 'to mend', danger: 'danger' };
/** How a finding ended; what follows it are the job or the words. */
export const FINDING_END = { mended_by: 'Mended by', mended: 'Mended:', lived_with: 'Lived with:' };
export const JOB_STATE = { open: 'open', done: 'done', dropped: 'dropped' };
export const STAGE = { before: 'before', during: 'during', after: 'after' };
export const CONDITION = { new: 'for a new part', wear: 'the most wear' };
export const ORDER_STATE = {
  to_find: 'to find',
  asked: 'asked for',
  ordered: 'ordered',
  in: 'in',
  returned: 'returned',
  cancelled: 'cancelled',
};
export const HOW = { seen: 'seen', counted: 'counted', measured: 'measured', photographed: 'photographed' };
export const HOLD_STATE = { open: 'open', met: 'met' };
export const PATTERN = { plain: 'plain line', dashed: 'dashed line', dotted: 'dotted line', double: 'double line' };
export const PROPERTY = { size: 'the size', out_of_round: 'out of round', taper: 'taper' };
export const MEND = {
  file: 'file',
  hone: 'hone',
  oversize: 'next oversize',
  shim: 'shims',
  machine: 'skim or grind',
  adjust: 'adjust',
  replace: 'replace',
};
export const LAYOUT = { circle: 'on a circle', rows: 'in rows' };
export const VERDICT = { in_limits: 'in limits', below_limits: 'below limits', above_limits: 'above limits', too_close_to_call: 'too close to call' };
export const STANDING = {
  published: 'published',
  derived: 'follows from the formula',
  common_practice: 'common practice, no source',
  from_memory: 'from memory, not yet checked',
};

export const KIND: Readonly<Record<Kind, string>> = {
  car: 'car',
  keeper: 'keeper',
  device: 'device',
  assembly: 'assembly',
  part: 'part',
  finding: 'finding',
  job: 'job',
  try: 'try',
  sheet: 'day sheet',
  photo: 'photo',
  container: 'container',
  limit: 'limit',
  instrument: 'instrument',
  reading: 'reading',
  order: 'order',
  hold_point: 'hold point',
  waiver: 'waiver',
  settlement: 'settlement',
  kept_answer: 'kept answer',
  tightening_run: 'tightening run',
  tightened: 'bolt tightened',
};

/** Fields by their key; one label serves every kind. */
export const FIELD = {
  name: 'Name',
  make: 'Make',
  model: 'Model',
  year: 'Year built',
  body_number: 'Number on the body',
  engine_number: 'Number on the engine',
  papers_number: 'Number in the papers',
  colour: 'Colour',
  note: 'Notes',
  pattern: 'Line at the edge',
  keeper: 'Keeper',
  parent: 'Belongs in',
  state: 'State',
  order: 'Place in the list',
  kept_in: 'Kept in',
  assembly: 'Assembly',
  position: 'Position',
  way_round: 'Way round',
  quantity: 'How many',
  number: 'Number on it',
  decision: 'Decision',
  decision_why: 'Why',
  container: 'Lies in',
  use_once: 'May be used only once',
  on: 'Day',
  about: 'What it is about',
  what: 'What',
  how_bad: 'How bad',
  ended: 'How it ended',
  part: 'Part',
  needs_apart: 'Must be apart first',
  after: 'Comes after',
  needs_parts: 'Parts to have in hand',
  photos: 'To be seen on',
  tools: 'Tools',
  minutes: 'Minutes',
  outcome: 'What came of it',
  job: 'Job',
  tool: 'With which tool',
  came_of_it: 'What came of it',
  worked: 'It worked',
  text: 'Notes',
  hours: 'Hours',
  hash: 'Mark of its bytes',
  caption: 'What is to be seen',
  stage: 'When in the work',
  code: 'Code on its label',
  inside: 'Stands in',
  place: 'Where it stands',
  condition: 'Holds for',
  low: 'Not below',
  high: 'Not above',
  book: 'Book',
  edition: 'Edition',
  page: 'Page',
  resolution: 'Smallest step',
  uncertainty: 'Uncertainty (k = 2)',
  least: 'Measures from',
  most: 'Measures up to',
  checked_on: 'Last checked',
  checked_against: 'Checked against',
  at: 'At which point',
  value: 'Reading',
  instrument: 'Instrument',
  limit: 'Limit',
  temperature: 'How warm it was',
  from: 'From whom',
  price: 'Price',
  due: 'Due',
  how: 'How it is met',
  met_how: 'What was seen',
  why: 'Why',
  point: 'Point',
  rule: 'Rule',
  choice: 'Chosen',
  judges: 'Judges',
  if_low: 'Below it, the remedy is',
  if_high: 'Above it, the remedy is',
  again: 'Measured again',
  grid: 'Grid',
  grid_names: 'Heights; directions',
  more_limits: 'Other limits',
  remedy_of: 'Mends the reading',
  calculation: 'Calculation',
  inputs: 'Typed',
  answer: 'Answer',
  told: 'As it was told',
  layout: 'How the bolts lie',
  bolts: 'How many bolts',
  rows: 'In how many rows',
  torque: 'Torque',
  passes: 'Passes',
  conditions: 'Holds for',
  source: 'Source',
  run: 'Run',
  pass: 'Pass',
  struck: 'Struck out',
};

export const RULE: Readonly<Record<Rule, string>> = {
  two_values: 'Two values for one field',
  closed_over_job: 'Closed over an open job',
  closed_over_hold: 'Closed over an open hold point',
  closed_over_run: 'Closed over an unfinished tightening run',
  struck_worked_on: 'Struck here, worked on there',
  in_each_other: 'Each stands in the other',
  settled_two_ways: 'Settled two ways',
  same_code: 'One code on two containers',
  two_orders: 'Two orders for one part',
  readings_differ: 'Two readings of one point differ',
};

/** What a choice does, said as what the person presses. `side_N` is said with the value itself. */
export const CHOICE = {
  reopen: 'Open it up again',
  was_done: 'The job was done',
  was_met: 'It was met',
  strike_run: 'Strike the run out, and say why',
  let_stand: 'Leave it closed, and say why',
  first_keeps: 'The first keeps the code',
  second_keeps: 'The second keeps the code',
  one_container: 'It is one and the same container',
  cancel_first: 'Cancel the first order',
  cancel_second: 'Cancel the second order',
  both_wanted: 'Both are wanted, and say why',
  both_stand: 'Both stand, and say why',
  move_up: 'It stays struck out; what was worked on moves up and stands',
  take_back: 'Take the strike back: it stands again, with all that went with it',
  strike_too: 'It stays struck out, and what is left in it is struck out too',
  leave: 'It stays struck out; what is in it is left there',
  stay_struck: 'It stays struck out',
  as_it_is: 'Neither: leave all as it stands now, and say why',
};

/** The words table of a field that holds a word of a closed set. */
export const WORDS_OF: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  'assembly.state': ASSEMBLY_STATE,
  'part.decision': DECISION,
  'finding.how_bad': HOW_BAD,
  'job.state': JOB_STATE,
  'photo.stage': STAGE,
  'limit.condition': CONDITION,
  'order.state': ORDER_STATE,
  'limit.judges': PROPERTY,
  'limit.if_low': MEND,
  'limit.if_high': MEND,
  'tightening_run.layout': LAYOUT,
  'hold_point.how': HOW,
  'hold_point.state': HOLD_STATE,
  'keeper.pattern': PATTERN,
};

/** How much of what: `3 parts, 1 job and 2 findings`. */
export function amounts(inside: readonly { kind: Kind; count: number }[]): string {
  const each = inside.map(({ kind, count }) => {
    const one = said(KIND, kind);
    return counted(count, one, one.endsWith('y') ? `${one.slice(0, -1)}ies` : `${one}s`);
  });
  return each.length < 2 ? (each[0] ?? 'nothing') : `${each.slice(0, -1).join(', ')} and ${each[each.length - 1]}`;
}

/** `1 job`, `3 jobs`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** Where work can hurt: the usual caution, shown beside findings called a danger and on the page that needs it. */
export const SAFETY: readonly { key: string; when: RegExp; words: string }[] = [
  {
    key: 'lifting',
    when: /\b(jack|axle stand|hub|wheel|axle|king ?pin|suspension|shackle|underside)/i,
    words: 'Never work under a car that stands on a jack: axle stands on hard level ground, wheels chocked, before anything goes under.',
  },
  {
    key: 'springs',
    when: /\b(spring|shackle|damper)/i,
    words: 'A loaded spring can kill: hold it with the proper compressor or take its load off first, and keep out of its line.',
  },
  {
    key: 'fuel',
    when: /\b(fuel|petrol|tank|carburettor|carburetor)/i,
    words: 'Petrol: out of doors, no flame, no sparks, battery disconnected, an extinguisher at hand.',
  },
  {
    key: 'brakes',
    when: /\b(brake|steering|track rod|drag link|king ?pin)/i,
    words: 'Brakes and steering: the car’s own manual and local law come first; have the work seen by somebody licensed before the road.',
  },
  {
    key: 'dust',
    when: /\b(brake|clutch|gasket|lining|lagging)/i,
    words: 'Old linings, clutch plates and gaskets may hold asbestos: never blow or brush dry; treat it as asbestos until tested, as local law says.',
  },
  {
    key: 'battery',
    when: /\b(battery|loom|dynamo|starter|earth strap)/i,
    words: 'Battery: gas explodes and acid burns. Earth lead off first and on last, eyes covered, no flame.',
  },
  {
    key: 'solvent',
    when: /\b(paint|two.?pack|solvent|thinner|stripper|degreas)/i,
    words: 'Solvents and two-pack paint: air-fed mask where the sheet asks for one, gloves, no flame; local law may forbid it at home.',
  },
];

/** The cautions that go with these words, none twice. */
export function cautions(...texts: (string | null | undefined)[]): { key: string; words: string }[] {
  const all = texts.filter(Boolean).join(' ');
  return SAFETY.filter((caution) => caution.when.test(all)).map(({ key, words }) => ({ key, words }));
}
