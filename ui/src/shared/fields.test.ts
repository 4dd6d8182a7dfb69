// Forms: only what was changed is sent, an emptied field as null.
import { describe, expect, it } from 'vitest';
import { changed, given, held, missing, spoken, unclear, type FieldSpec, type Held } from './fields';

const SPECS: FieldSpec[] = [
  { name: 'name', label: 'Name', shape: 'line', required: true },
  { name: 'quantity', label: 'How many', shape: 'whole' },
  { name: 'use_once', label: 'Once', shape: 'flag' },
  { name: 'needs', label: 'Needs', shape: 'set' },
  { name: 'low', label: 'Low', shape: 'measure' },
];

describe('changed', () => {
  const was: Record<string, Held> = { name: 'Shell', quantity: '3', use_once: false, needs: ['a'], low: '12 thou' };
  const check = (now: Record<string, Held>, expected: object) => expect(changed(SPECS, was, { ...was, ...now })).toEqual(expected);
  it('nothing', () => check({}, {}));
  it('a line, trimmed', () => check({ name: ' Shells ' }, { name: 'Shells' }));
  it('a whole number as one', () => check({ quantity: '4' }, { quantity: 4 }));
  it('what is no whole number goes as typed, for the notebook to refuse', () => check({ quantity: 'four' }, { quantity: 'four' }));
  it('emptied', () => check({ quantity: '' }, { quantity: null }));
  it('a flag', () => check({ use_once: true }, { use_once: true }));
  it('a set', () => check({ needs: ['a', 'b'] }, { needs: ['a', 'b'] }));
  it('a measure as typed', () => check({ low: '0.3 mm' }, { low: '0.3 mm' }));
});

describe('held', () => {
  const spec = (shape: FieldSpec['shape']): FieldSpec => ({ name: 'x', label: 'X', shape });
  it('a measure as it was typed', () => expect(held(spec('measure'), '12 thou')).toBe('12 thou'));
  it('a line with an equals sign as it is', () => expect(held(spec('line'), 'a = b')).toBe('a = b'));
  it('nothing', () => expect(held(spec('line'), null)).toBe(''));
  it('prose keeps its spaces', () => expect(given(spec('prose'), ' two\n')).toBe(' two\n'));
});

describe('missing', () => {
  it('tells what is needed and empty', () => expect(missing(SPECS, { name: '  ' }).map((one) => one.name)).toEqual(['name']));
  it('nothing', () => expect(missing(SPECS, { name: 'Shell' })).toEqual([]));
});

describe('unclear', () => {
  const days: FieldSpec[] = [{ name: 'on', label: 'Day', shape: 'day' }];
  it('a day that is none', () => expect(unclear(days, { on: 'soon' }).map((one) => one.name)).toEqual(['on']));
  it('a day, or nothing', () => expect([...unclear(days, { on: '2031-03-01' }), ...unclear(days, { on: ' ' }), ...unclear(days, {})]).toEqual([]));
});

describe('spoken', () => {
  const check = (spec: Partial<FieldSpec>, value: Held | undefined, expected: string) => expect(spoken({ name: 'x', label: 'X', shape: 'line', ...spec }, value)).toBe(expected);
  it('by its name, its word, its day', () => {
    check({ shape: 'link', options: [{ value: 'p1', label: 'Lid' }] }, 'p1', 'Lid');
    check({ shape: 'set', options: [{ value: 'p1', label: 'Lid' }] }, ['p1', 'p2'], 'Lid, p2');
    check({ shape: 'word', words: { off: 'off the car' } }, 'off', 'off the car');
    check({ shape: 'day' }, '2031-03-01', '1 March 2031');
    check({ shape: 'flag' }, true, 'yes');
    check({}, 'Hinge', 'Hinge');
  });
  it('nothing, in a word', () => check({}, '', 'nothing'));
});
