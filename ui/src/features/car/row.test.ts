// A row is ordered by steps: each moves one past its neighbour, and none goes beyond an end.
import { expect, test } from 'vitest';
import { called, moved } from './row';

test('one goes past its neighbour, and stays at an end', () => {
  const row = ['a', 'b', 'c'];
  expect(moved(row, 1, -1)).toEqual(['b', 'a', 'c']);
  expect(moved(row, 1, 1)).toEqual(['a', 'c', 'b']);
  expect(moved(row, 0, -1)).toEqual(row);
  expect(moved(row, 2, 1)).toEqual(row);
});

test('two of one name are told by where they are and which way round', () => {
  expect(called({ name: 'Washer', position: 'third', way_round: null })).toBe('Washer, third');
  expect(called({ name: 'Washer', position: null, way_round: 'bevel outward' })).toBe('Washer, bevel outward');
});
