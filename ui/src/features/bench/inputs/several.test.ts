// Several values as text: parted as the core parts them, joined to what the core takes, and nothing shifts into another's place.
import { describe, expect, it } from 'vitest';
import { joinGrid, joinList, splitGrid, splitList, wantedIn } from './several';

describe('a list', () => {
  const check = (text: string, items: [string, number][], unit: string) =>
    it(text, () => expect(splitList(text)).toEqual({ items: items.map(([text, count]) => ({ text, count })), unit }));
  check('0.24x2, 0.30, 0.36 mm', [['0.24', 2], ['0.30', 1], ['0.36', 1]], 'mm');
  check('0.24 mm ×2; 0.30 mm; 12 thou', [['0.24 mm', 2], ['0.30 mm', 1], ['12 thou', 1]], '');
  check('0,24x2, 0,30, 0,36 mm', [['0,24', 2], ['0,30', 1], ['0,36', 1]], 'mm');
  check('0.24,0.30,0.36 mm', [['0.24', 1], ['0.30', 1], ['0.36', 1]], 'mm');
  check('0.24x2 mm', [['0.24', 2]], 'mm');
  check('1/4, 3/8 in,', [['1/4', 1], ['3/8', 1]], 'in');
  check('30, 60, 100 %', [['30', 1], ['60', 1], ['100', 1]], '%');
  check('4, 1, 1', [['4', 1], ['1', 1], ['1', 1]], '');
  check('3 1/32"', [['3 1/32', 1]], '"');
  check('', [], '');
});

describe('a list back', () => {
  const check = (texts: [string, number][], unit: string, expected: string) =>
    it(expected, () => expect(joinList({ items: texts.map(([text, count]) => ({ text, count })), unit })).toBe(expected));
  check([['0.24', 2], ['', 1], ['0.36', 1]], 'mm', '0.24 ×2, 0.36 mm');
  check([['0.24', 1], ['0.36', 3]], 'mm', '0.24, 0.36 mm ×3');
  check([['0.24', 1], ['12 thou', 1]], 'mm', '0.24 mm, 12 thou');
  check([['4', 1], ['1', 1]], '', '4, 1');
  check([['', 1]], 'mm', '');
});

describe('a grid', () => {
  const there = '85.612, 85.560; 85.575, 85.545 mm';
  it('out and back', () => {
    expect(splitGrid(there)).toEqual({ rows: [['85.612', '85.560'], ['85.575', '85.545']], unit: 'mm' });
    expect(joinGrid(splitGrid(there))).toBe(there);
  });
  it('a table copied from elsewhere', () => expect(splitGrid('3.371\t3.369\n3.370\t3.368 in').rows).toEqual([['3.371', '3.369'], ['3.370', '3.368']]));
  it('empty rows and columns are left out', () => expect(joinGrid({ rows: [['1', '', ''], ['2', '', ''], ['', '', '']], unit: 'mm' })).toBe('1; 2 mm'));
  it('an empty place keeps its place', () => {
    const text = joinGrid({ rows: [['1', ''], ['', '4']], unit: 'mm' });
    expect(text).toBe('1, ?; ?, 4 mm');
    expect(wantedIn(text)).toBe(2);
    expect(splitGrid(text).rows).toEqual([['1', ''], ['', '4']]);
  });
  it('the last place still wanted', () => {
    const text = joinGrid({ rows: [['1', '2'], ['3', '']], unit: 'mm' });
    expect(wantedIn(text)).toBe(1);
    expect(splitGrid(text)).toEqual({ rows: [['1', '2'], ['3', '']], unit: 'mm' });
  });
  it('of a ragged text no value is lost', () => expect(splitGrid('1, 2; 3 mm').rows).toEqual([['1', '2'], ['3', '']]));
});
