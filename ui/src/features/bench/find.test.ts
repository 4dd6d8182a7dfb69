// The filter of the bench: own words, the trade's other words, and nothing for what is meant nowhere.
import { describe, expect, it } from 'vitest';
import type { DescribedCalculation, Explained } from '../../generated/wire';
import { DRAWINGS } from './drawings';
import { meant, SAID } from './find';

const one = (name: string, title: string, about: string, args: string[] = []) =>
  ({ name, title, about, place_words: '', arguments: args.map((words) => ({ words })) }) as DescribedCalculation;
const all = [
  one('tyre', 'Tyre size', 'The diameter and circumference of a tyre from its size.'),
  one('wear', 'Bore wear and oversize', 'Out-of-round, taper and wear of a bore.', ['the stroke, for the rule of thumb on taper']),
  one('shim_pack', 'Shim pack', 'The shims that bring end play to what is wanted.'),
];
const glossary: Explained[] = [
  { names: ['tyre', 'tire'], means: '' },
  { names: ['end float', 'end play'], means: '' },
];

describe('meant', () => {
  const check = (typed: string, expected: string[]) => it(typed || 'nothing', () => expect(meant(all, typed, glossary).map((found) => found.name)).toEqual(expected));
  check('', ['tyre', 'wear', 'shim_pack']);
  check('tap', ['wear']);
  check('Tire', ['tyre']);
  check('tires', ['tyre']);
  check('end-float', ['shim_pack']);
  check('rebore', ['wear']);
  check('bore stroke', ['wear']);
  check('bore tyre', []);
  check('windscreen', []);
  it('has words for every calculation and for no other', () => expect([...SAID].sort()).toEqual(Object.keys(DRAWINGS).sort()));
});
