// Which picture is drawn of which table of an answer. It reckons nothing: numbers that are shown are the core's own texts.
import type { Component } from 'svelte';
import type { Answer, AnswerTable } from '../../generated/wire';
import Match from './pictures/Match.svelte';
import Order from './pictures/Order.svelte';
import Stack from './pictures/Stack.svelte';
import WearMap from './pictures/WearMap.svelte';

/** What every picture of a table is given. */
export type Pictured = { answer: Answer; table: AnswerTable; label: string };

/** The pictures, by calculation and table. */
export const PICTURES: Readonly<Record<string, Component<Pictured>>> = {
  'wear/map': WearMap,
  'ring_plan/plan': Match,
  'select_fit/pairs': Match,
  'shim_pack/packs': Stack,
  'feelers/stacks': Stack,
  'tightening/order': Order,
};

/** The picture of a table, where there is one. */
export function pictureOf(answer: Answer, table: AnswerTable): Component<Pictured> | undefined {
  return PICTURES[`${answer.calculation}/${table.key}`];
}
