// Every words table of the pages. What kinds, fields and the words of closed sets are called comes from the record's own table;
// places, rules and choices are worded here. A word that is not in its table (of a newer version) is shown as it is. Refusals
// and points bring their own sentences.
import { KINDS, SETS, type FieldDef, type KindDef } from './generated/fields';
import type { ClosingCheck, Kind, Rule } from './generated/wire';

/** A word as shown; one that is in no table, without its underscores. */
export function said(table: Readonly<Record<string, string>>, word: string | null | undefined): string {
  if (word === null || word === undefined || word === '') return '';
  return Object.hasOwn(table, word) ? (table[word] ?? word) : word.replaceAll('_', ' ');
}

export const PLACES = { day: 'Day', car: 'Car', bench: 'Bench', stores: 'Stores', keepers: 'Keepers' } as const;

/** The closed sets of the record, by the names that the pages have for them. */
export const {
  AssemblyState: ASSEMBLY_STATE,
  CameBy: CAME_BY,
  Decision: DECISION,
  Differs: DIFFERS,
  HoldState: HOLD_STATE,
  How: HOW,
  HowBad: HOW_BAD,
  HowSure: HOW_SURE,
  JobState: JOB_STATE,
  OldOne: OLD_ONE,
  OrderState: ORDER_STATE,
  Pattern: PATTERN,
  Stage: STAGE,
} = SETS;
/** What pressing the state means. */
export const ASSEMBLY_STATE_SAYS = {
  fitted: 'on the car',
  off: 'off the car, in one piece',
  apart: 'taken apart',
  away: 'with somebody outside',
};
/** How a finding ended; what follows it are the job or the words. */
export const FINDING_END = { mended_by: 'Mended by', mended: 'Mended:', lived_with: 'Lived with:', not_so: 'Not so:' };
export const VERDICT = { in_limits: 'in limits', below_limits: 'below limits', above_limits: 'above limits', too_close_to_call: 'too close to call' };
export const STANDING = {
  published: 'published',
  derived: 'follows from the formula',
  common_practice: 'common practice, no source',
  from_memory: 'from memory, not yet checked',
};

const TABLE: Readonly<Record<string, KindDef>> = KINDS;

/** What one of each kind is called. */
export const KIND: Readonly<Record<string, string>> = Object.fromEntries(Object.entries(TABLE).map(([kind, { said }]) => [kind, said]));

/** Whether a keeper strikes it out: the car, its keepers and what is written by them together stay. */
export const isStruckOut = (kind: Kind): boolean => !KINDS[kind].stays;

/** A field of a kind as the table has it; nothing for one of a newer version. */
export function fieldOf(kind: string, field: string): FieldDef | undefined {
  const fields = Object.hasOwn(TABLE, kind) ? TABLE[kind]?.fields : undefined;
  return fields && Object.hasOwn(fields, field) ? fields[field] : undefined;
}

/** What a field of a kind is called; an element of a set as its set. */
export function labelOf(kind: string, field: string): string {
  const name = field.split(':')[0] ?? field;
  if (name === 'struck') return 'Struck out';
  return fieldOf(kind, name)?.label ?? name.replaceAll('_', ' ');
}

/** What a value of a field reads as, where it is a word of a closed set; the value itself where it is not. */
export function wordOf(kind: string, field: string, value: string): string {
  const set = fieldOf(kind, field)?.set;
  return set ? said(SETS[set], value) : value;
}

/** What a close-up asks about, as the heading of its sort. */
export const CHECK: Readonly<Record<ClosingCheck, string>> = {
  finding: 'Findings without an end',
  reading: 'Readings out of limits or too close to call',
  hold_point: 'Hold points to meet',
  job: 'Jobs to do',
  tightening_run: 'Tightening runs to finish',
  part_wanted: 'To be replaced, or in only for now',
  part_stored: 'Parts that are not in',
  apart: 'In pieces, or on for trial',
  assembly: 'Inside it, not closed or on for trial',
  struck: 'Struck, not empty',
  point: 'To be settled',
};

export const RULE: Readonly<Record<Rule, string>> = {
  two_values: 'Two values of one thing',
  closed_over_job: 'Closed over an open job',
  closed_over_hold: 'Closed over an open hold point',
  closed_over_run: 'Closed over an unfinished tightening run',
  closed_over_finding: 'Closed over a finding without an end',
  closed_over_reading: 'Closed over a reading that is not in its limits',
  closed_over_wanted: 'Closed over a part to be replaced',
  closed_over_stored: 'Closed over a part that is not in',
  closed_over_assembly: 'Closed over an assembly that is not closed',
  ended_apart: 'Ended here, written on there',
  met_apart: 'Met here, changed there',
  tightened_apart: 'Tightened here, taken apart there',
  said_apart: 'Said by two, read as one',
  struck_worked_on: 'Struck here, worked on there',
  in_each_other: 'Each stands in the other',
  settled_two_ways: 'Settled two ways',
  same_code: 'One code on two containers',
  two_orders: 'Two orders for one part',
  readings_differ: 'Two readings of one point differ',
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
