// Formatting: days and moments by this device's clock, measures as typed, money by its currency, the line that says where
// the last words are.
import { describe, expect, it } from 'vitest';
import { dayPlus, letterOf, longDay, measure, moment, money, savedLine, says, shortDay, size, today, whereIs, whose } from './format';

const NOW = new Date(2031, 2, 4, 9, 0);

describe('days', () => {
  it('today is local, not UTC', () => expect(today(new Date(2031, 2, 1, 0, 30))).toBe('2031-03-01'));
  const check = (day: string, days: number, expected: string) => expect(dayPlus(day, days)).toBe(expected);
  it('over a month', () => check('2031-02-28', 1, '2031-03-01'));
  it('over a leap day', () => check('2032-03-01', -1, '2032-02-29'));
  it('over the change of the clock', () => check('2031-03-30', 1, '2031-03-31'));
  it('long', () => expect(longDay('2031-03-01')).toBe('Saturday 1 March 2031'));
  it('short', () => expect(shortDay('2031-03-01')).toBe('1 March 2031'));
  it('what is no day is shown as it is', () => expect(longDay('soon')).toBe('soon'));
});

describe('moments', () => {
  const check = (at: Date, expected: string) => expect(moment(at.toISOString(), NOW)).toBe(expected);
  it('within the week by its day', () => check(new Date(2031, 2, 1, 18, 20), 'Saturday 18:20'));
  it('older with its date', () => check(new Date(2031, 1, 20, 18, 20), '20 February 2031, 18:20'));
  it('ahead of this clock with its date', () => check(new Date(2031, 2, 6, 8, 5), '6 March 2031, 08:05'));
});

describe('measures', () => {
  const check = (kept: string, typed: string, exact: string) => expect(measure(kept)).toEqual({ typed, exact });
  it('typed and exact', () => check('12 thou = 0.3048 mm', '12 thou', '0.3048 mm'));
  it('nothing twice', () => check('0.30mm = 0.3 mm', '0.30mm', ''));
  it('a whole number', () => check('40 mm = 40 mm', '40 mm', ''));
  it('an endless fraction is not shown as one', () => check('1/3 in = 127/15 mm', '1/3 in', ''));
  it('what is not kept so', () => check('about a foot', 'about a foot', ''));
});

describe('money', () => {
  const check = (kept: string, expected: string) => expect(money(kept)).toBe(expected);
  it('pounds', () => check('GBP 12.50', '£12.50'));
  it('a currency without decimals', () => check('JPY 900', 'JP¥900'));
  it('anything else as it is', () => check('two pies', 'two pies'));
});

describe('sizes', () => {
  const check = (bytes: number, expected: string) => expect(size(bytes)).toBe(expected);
  it('bytes', () => check(1, '1 byte'));
  it('kB', () => check(12_345, '12 kB'));
  it('MB', () => check(3_464_195, '3.5 MB'));
});

describe('where the last words are', () => {
  const saved = { only_here: 0, since: null, alone: false, others: 1, here: [], last_met: null, points: 0, revoked: null };
  const check = (change: object, expected: string) => expect(savedLine({ ...saved, ...change }, 'phone', NOW)).toBe(expected);
  it('both', () => check({}, 'Both have everything'));
  it('here only', () =>
    check({ only_here: 14, since: new Date(2031, 2, 1, 18, 20).toISOString() }, 'On this phone only: 14 entries since Saturday 18:20'));
  it('long ago, in few letters', () =>
    check({ only_here: 37, since: new Date(2030, 9, 26, 18, 20).toISOString() }, 'On this phone only: 37 entries since 26 Oct 2030'));
  it('weeks ago', () => check({ only_here: 2, since: new Date(2031, 0, 5, 18, 20).toISOString() }, 'On this phone only: 2 entries since 5 Jan'));
  it('alone', () => check({ alone: true }, 'On this phone only: no second device yet'));
  it('three devices', () => check({ others: 2 }, 'Another device has everything of yours'));
  const here = [{ keeper_name: 'Jonna', name: 'phone', since: new Date(2031, 2, 4, 8, 2).toISOString() }];
  it('here', () => check({ here }, 'With Jonna’s phone since 08:02'));
  it('two here, one on the way', () =>
    check({ here: [...here, ...here], only_here: 1 }, 'With Jonna’s phone and 1 more since 08:02 · 1 entry on the way'));
  it('points', () => check({ points: 2 }, 'Both have everything · 2 points to settle'));
});

describe('who has a photo that is not here', () => {
  const check = (held_by: string[], asked: boolean, expected: string) => expect(whereIs({ held_by, asked, small: true, waits: !asked })).toBe(expected);
  it('one', () => check(["Jonna's phone"], false, "Not on this device. Jonna's phone has it."));
  it('two', () => check(["Jonna's phone", "Wilf's laptop"], false, "Not on this device. Jonna's phone and Wilf's laptop have it."));
  it('three', () => check(['a', 'b', 'c'], false, 'Not on this device. a, b and c have it.'));
  it('nobody known', () => check([], false, 'Not on this device; who has it is not known yet.'));
  it('asked for', () => check(["Jonna's phone"], true, "Not on this device. Jonna's phone has it. It is asked for, and comes when they meet."));
});

describe('whose device', () => {
  const check = (keeper_name: string, name: string, expected: string) => expect(whose({ keeper_name, name })).toBe(expected);
  it('first name', () => check('Jonna Ashdown', 'phone', 'Jonna’s phone'));
  it('nobody’s', () => check('', 'phone', 'phone'));
  it('no name twice', () => check('Nell Ashdown', "Nell's phone", "Nell's phone"));
});

describe('letters of a drawing', () => {
  const check = (letter: string, stem: string, foot: string) => expect(letterOf(letter)).toEqual({ stem, foot });
  it('gmin', () => check('gmin', 'g', 'min'));
  it('B1', () => check('B1', 'B', '1'));
  it('CR', () => check('CR', 'CR', ''));
  it('none', () => check('', '', ''));
});

describe('a reason', () => {
  it('says something by a letter or a digit', () => expect(['ok', ' 7 ', 'ß'].every(says)).toBe(true));
  it('says nothing by a stop, a space or what nobody sees', () => expect(['', ' . ', '—', '\u200b', undefined].some(says)).toBe(false));
});
