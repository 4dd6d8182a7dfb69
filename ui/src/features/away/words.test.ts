// What the pages say of a coming: how much, when, and of the smaller changes.
import { describe, expect, test } from 'vitest';
import { amountWords, comingWords, evening, smallerWords, whenDone } from './words';

const now = new Date('2031-04-04T20:00:00');

describe('when it was done', () => {
  test('is said as one says it within the week, and by its date before', () => {
    expect(evening('2031-04-04T18:20:00', now)).toBe('this evening');
    expect(evening('2031-04-03T10:00:00', now)).toBe('yesterday morning');
    expect(evening('2031-04-01T19:44:00', now)).toBe('on Tuesday evening');
    expect(evening('2031-04-01T13:00:00', now)).toBe('on Tuesday afternoon');
    expect(evening('2031-03-01T13:00:00', now)).toMatch(/^on .*2031$/);
  });
  test('is tonight as long as the night lasts, and last night only when it is over', () => {
    const past = (time: string) => new Date(`2031-04-04T${time}:00`);
    expect(evening('2031-04-04T00:38:00', past('00:40'))).toBe('tonight');
    expect(evening('2031-04-03T23:50:00', past('00:40'))).toBe('this evening');
    expect(evening('2031-04-03T13:00:00', past('00:40'))).toBe('yesterday afternoon');
    expect(evening('2031-04-03T02:00:00', past('00:40'))).toBe('last night');
    expect(evening('2031-04-04T04:58:00', past('05:01'))).toBe('early this morning');
    expect(evening('2031-04-04T00:38:00', past('09:00'))).toBe('last night');
    expect(evening('2031-04-03T02:00:00', past('20:00'))).toBe('the night before last');
  });
  test('is the day that was said, where one was', () => {
    const line = { since: '2031-04-03T19:00:00', at: '2031-04-03T19:00:00' };
    expect(whenDone({ ...line, on: '2031-04-01' }, now)).toBe('on Tuesday');
    expect(whenDone({ ...line, on: '2031-04-03' }, now)).toBe('yesterday evening');
  });
  test('goes from one day to another, where it took some', () => {
    expect(whenDone({ since: '2031-03-31T19:00:00', at: '2031-04-03T19:00:00', on: null }, now)).toBe('from Monday to yesterday');
  });
});

describe('a coming', () => {
  const coming = { number: 3, at: '2031-04-03T21:00:00', things: 12, points: 2, unread: true };
  test('says when, by which road and from whom', () => {
    expect(comingWords({ ...coming, road: 'file', from: ['Wilf’s laptop'] }, now)).toBe('Yesterday evening, by a carry file from Wilf’s laptop');
    expect(comingWords({ ...coming, road: 'live', from: ['Wilf’s laptop', 'Wilf’s phone'] }, now)).toBe('Yesterday evening, in a meeting with Wilf’s laptop and Wilf’s phone');
    expect(comingWords({ ...coming, road: 'drop', from: [] }, now)).toBe('Yesterday evening, through a drop');
  });
  test('says how much, and what is to be settled of it', () => {
    expect(amountWords(coming)).toBe('12 things, 2 to settle');
    expect(amountWords({ things: 1, points: 0 })).toBe('1 thing');
  });
  test('folds what was only worded otherwise', () => {
    const smaller = { what: { name: 'part:1', title: 'Piston' }, who: 'Wilf', fields: ['Name'] };
    const place = { title: 'Gearbox', about: null, lines: [], more: 0, photos: [], smaller: [smaller] };
    expect(smallerWords(place)).toBe('1 smaller change');
  });
});
