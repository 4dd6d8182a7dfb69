// What an entry says of a field: the words that the core sent, those of a set together.
import { describe, expect, it } from 'vitest';
import type { FieldSaid } from '../../generated/wire';
import { wordsOf } from './values';

const said = (field: string, ...words: string[]): FieldSaid => ({
  field,
  label: field,
  values: words.map((words) => ({ words, exact: null, name: null, word: null, day: null })),
  differs: false,
  claims: [],
  for_the_program: false,
});

describe('wordsOf', () => {
  const entry = { said: [said('what', 'Bleed'), said('after', 'Strip', 'Wash')] };
  const check = (field: string, expected: string) => expect(wordsOf(entry, field)).toBe(expected);
  it('one value', () => check('what', 'Bleed'));
  it('a set', () => check('after', 'Strip, Wash'));
  it('a field of which nothing is said', () => check('tools', ''));
  it('an entry that is not here yet', () => expect(wordsOf(null, 'what')).toBe(''));
});
