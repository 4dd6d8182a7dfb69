// Which day each of many pictures goes to, and by how many changes they are entered. No page is drawn here.
import { expect, test } from 'vitest';
import type { TakenPhoto } from '../../generated/wire';
import { AT_ONCE, byDay, daysBetween, kept, portions } from './takingIn';

const taken = (hash: string, on: string | null, at: string | null = null): TakenPhoto => ({ hash, width: 4, height: 3, mime: 'image/jpeg', not_drawn: false, taken_on: on, taken_at: at });
const file = (name: string) => ({ name, lastModified: new Date(2031, 2, 5, 23, 30).getTime() });

test('a picture goes to the day that its camera says, or that its file was written on', () => {
  expect(kept(file('1.jpg'), taken('a', '2031-03-01', '18:05'))).toMatchObject({ on: '2031-03-01', at: '18:05', byFile: false });
  expect(kept(file('1.png'), taken('b', null))).toMatchObject({ on: '2031-03-05', at: '', byFile: true });
});

test('days come in order, pictures by the clock, and a clock that was wrong is put right for all', () => {
  const pictures = [kept(file('10.jpg'), taken('d', '2031-03-02', '09:00')), kept(file('2.jpg'), taken('c', '2031-03-02', '09:00')), kept(file('1.jpg'), taken('a', '2031-02-28', '23:59'))];
  const says = (shift: number) => byDay(pictures, shift).map(({ day, pictures }) => [day, pictures.map((one) => one.hash).join('')]);
  expect(says(0)).toEqual([['2031-02-28', 'a'], ['2031-03-02', 'cd']]);
  expect(says(daysBetween('2031-02-28', '2031-03-01'))).toEqual([['2031-03-01', 'a'], ['2031-03-03', 'cd']]);
  expect(daysBetween('2031-03-30', '2031-03-28')).toBe(-2);
});

test('many are entered by as few changes as may be', () => {
  const pictures = Array.from({ length: AT_ONCE + 1 }, (_, at) => kept(file(`${at}.jpg`), taken(String(at), '2031-03-01')));
  const all = portions(byDay(pictures, 0), 'assembly:1');
  expect(all.map((some) => some.length)).toEqual([AT_ONCE, 1]);
  expect(all[1]?.[0]).toEqual({ hash: String(AT_ONCE), on: '2031-03-01', about: 'assembly:1' });
  expect(portions(byDay([], 0), '')).toEqual([]);
});
