// Readings of one thing stand together: what holds of all is said once, and nothing of one is lost.
import { describe, expect, test } from 'vitest';
import type { ReadingLine } from '../../generated/wire';
import { common, grouped, own } from './points';

const reading = (id: string, what: string, words: string[], grid = false) =>
  ({ id, what, grid: grid ? {} : null, judged: words.map((one) => ({ words: 'at most 3', verdict: { word: 'in_limits', words: one } })) }) as unknown as ReadingLine;

describe('readings of one thing at several points', () => {
  test('they are grouped by what was measured, grids alone', () => {
    const groups = grouped([reading('1', 'Pin', []), reading('2', 'Bore', [], true), reading('3', 'pin', []), reading('4', 'Bore', [], true)]);
    expect(groups.map((group) => group.readings.map((one) => one.id))).toEqual([['1', '3'], ['2'], ['4']]);
  });
  test('what holds of all is said once, and nothing that holds of one only is lost', () => {
    const all = [reading('1', 'Pin', ['below by 7; read at 14 °C']), reading('2', 'Pin', ['below by 9; read at 14 °C'])];
    const { said, limits } = common(all);
    expect(said).toEqual(['read at 14 °C']);
    expect(limits).toEqual(['at most 3']);
    expect(all.map((one) => own(one, said))).toEqual([['below by 7'], ['below by 9']]);
  });
  test('one that nothing judged says nothing for the others', () => {
    expect(common([reading('1', 'Pin', ['in limits']), reading('2', 'Pin', [])]).said).toEqual([]);
  });
});
