// A position that counts stands for as many parts; one that describes a place stands for itself.
import { expect, test } from 'vitest';
import { positionsOf, single } from './several';

test.each([
  ['cylinders 1-4', ['cylinder 1', 'cylinder 2', 'cylinder 3', 'cylinder 4']],
  ['Valves 1 to 3', ['Valve 1', 'Valve 2', 'Valve 3']],
  ['1–2', ['1', '2']],
  ['mains 1, 2 and 3', ['main 1', 'main 2', 'main 3']],
  ['left and right', ['left', 'right']],
  ['Left and right, cups not to be swapped', []],
  ['cylinder 3', []],
  ['4-1', []],
  ['1-900', []],
  ['1, 1', []],
  ['', []],
])('%s', (text, expected) => expect(positionsOf(text)).toEqual(expected));

test.each([
  ['Pistons', 'Piston'],
  ['Brass', 'Brass'],
  ['Chassis', 'Chassis'],
  ['Gasket', 'Gasket'],
])('one of %s', (many, one) => expect(single(many)).toBe(one));
