// A reading's form and the record's fields: one point, the same point again, a grid; there and back.
import { describe, expect, it } from 'vitest';
import { emptyGrid, fieldsOfMeasured, lacking, measuredOf, withColumns, withRows, withUnit, type Measured } from './reading';

const one = (...values: string[]): Measured => ({ how: 'one', values, grid: emptyGrid() });

describe('a unit behind what has none', () => {
  const check = (typed: string, expected: string) => expect(withUnit(typed, 'mm')).toBe(expected);
  it('a number', () => check('85.52', '85.52 mm'));
  it('a fraction', () => check(' 3 3/8', '3 3/8 mm'));
  it('one that has a unit', () => check('12 thou', '12 thou'));
  it('an inch mark', () => check('3 3/8"', '3 3/8"'));
  it('nothing', () => check('', ''));
});

describe('what is sent', () => {
  const check = (measured: Measured, expected: object) => expect(fieldsOfMeasured(measured)).toEqual(expected);
  const none = { value: null, again: null, grid: null, grid_names: null };
  it('one value', () => check(one('12 thou'), { ...none, value: '12 thou' }));
  it('measured again, in the first one’s unit', () => check(one('0.21 mm', '0.22', '', '8.5 thou'), { ...none, value: '0.21 mm', again: '0.22 mm; 8.5 thou' }));
  it('a grid', () => {
    const grid = { rows: ['top', 'low, and worn'], columns: ['across', 'along'], cells: [['85.61', '85.57'], ['85.53', '3.3672 in']], unit: 'mm' };
    check({ how: 'grid', values: ['1 mm'], grid }, { ...none, grid: '85.61 mm, 85.57 mm; 85.53 mm, 3.3672 in', grid_names: 'top, low and worn; across, along' });
  });
});

describe('what the record holds', () => {
  it('one value and two more', () => {
    const got = measuredOf({ value: '12 thou', again: '0.31 mm; 0.3 mm' });
    expect([got.how, got.values]).toEqual(['one', ['12 thou', '0.31 mm', '0.3 mm']]);
  });
  it('a grid with its names', () => {
    const { how, grid } = measuredOf({ grid: '85.61 mm; 85.57 mm | 85.53 mm; 85.52 mm', grid_names: 'top, bottom; across, along' });
    expect([how, grid.rows, grid.columns, grid.cells]).toEqual(['grid', ['top', 'bottom'], ['across', 'along'], [['85.61 mm', '85.57 mm'], ['85.53 mm', '85.52 mm']]]);
  });
  it('a grid without names', () => {
    const { grid } = measuredOf({ grid: '1 mm | 2 mm' });
    expect([grid.rows, grid.columns]).toEqual([['height 1', 'height 2'], ['direction 1']]);
  });
});

describe('what is lacking', () => {
  const grid = withColumns(withRows(emptyGrid(), 1), 1);
  it('a value', () => expect(lacking(one(' '))).toBe('reading'));
  it('nothing', () => expect(lacking(one('1 mm', ''))).toBe(''));
  it('a point', () => expect(lacking({ how: 'grid', values: [], grid })).toBe('the point top across'));
  it('no point', () => expect(lacking({ how: 'grid', values: [], grid: { ...grid, cells: [['1']] } })).toBe(''));
});

describe('more and fewer', () => {
  it('keeps what was typed', () => {
    const filled = { ...emptyGrid(), cells: [['1', '2'], ['3', '4'], ['5', '6']] };
    expect(withColumns(withRows(filled, 4), 3).cells).toEqual([['1', '2', ''], ['3', '4', ''], ['5', '6', ''], ['', '', '']]);
    expect(withColumns(withRows(filled, 1), 1).cells).toEqual([['1']]);
  });
});
