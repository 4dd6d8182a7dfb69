// An entry as a form starts from it: shown values, sets gathered from their elements, contradictions told.
import { describe, expect, it } from 'vitest';
import type { EntryPage } from '../../generated/wire';
import { contradicted, keptList, valuesOf } from './values';

type Claim = EntryPage['fields'][string][number];

const claim = (value: Claim['value']): Claim => ({ value, stamp: { device: null, at: '2031-03-01T10:00:00Z', change: '00' } });
const entry = (fields: Record<string, Claim[]>): Pick<EntryPage, 'fields'> => ({ fields });

describe('valuesOf', () => {
  const check = (fields: Record<string, Claim[]>, expected: object) => expect(valuesOf(entry(fields))).toEqual(expected);
  it('the value shown is the first', () => check({ what: [claim('a'), claim('b')] }, { what: 'a' }));
  it('elements of a set that are in it', () =>
    check({ 'after:x': [claim(true)], 'after:y': [claim(false)], 'after:z': [claim(true)] }, { after: ['x', 'z'] }));
  it('an emptied field', () => check({ tools: [claim(null)] }, { tools: null }));
});

describe('contradicted', () => {
  const check = (fields: Record<string, Claim[]>, expected: string[]) => expect(contradicted(entry(fields))).toEqual(expected);
  it('two different values', () => check({ a: [claim('x'), claim('y')] }, ['a']));
  it('the same value twice is none', () => check({ a: [claim('x'), claim('x')] }, []));
  it('emptied by one, written by the other', () => check({ a: [claim('x'), claim(null)] }, ['a']));
});

describe('keptList', () => {
  const check = (kept: string, expected: string) => expect(keptList(kept)).toBe(expected);
  it('values', () => check('0.31 mm = 0.31 mm; 12 thou = 0.3048 mm', '0.31 mm, 12 thou'));
  it('rows', () => check('1 mm = 1 mm; 2 mm = 2 mm | 3 mm = 3 mm; 4 mm = 4 mm', '1 mm, 2 mm / 3 mm, 4 mm'));
});
