// A job is let lie until a day, and a time of it by the clock on the wall.
import { expect, test } from 'vitest';
import { isBefore } from './waiting';

const at = (not_before: string | null, not_before_time: string | null = null) => ({ not_before, not_before_time });

test('a job is let lie until its day, and on that day until its time', () => {
  expect(isBefore(at(null), '2031-03-14', '18:30')).toBe(false);
  expect(isBefore(at('2031-03-15'), '2031-03-14', '18:30')).toBe(true);
  expect(isBefore(at('2031-03-14'), '2031-03-14', '00:00')).toBe(false);
  expect(isBefore(at('2031-03-13', '23:00'), '2031-03-14', '18:30')).toBe(false);
  expect(isBefore(at('2031-03-14', '19:00'), '2031-03-14', '18:30')).toBe(true);
  expect(isBefore(at('2031-03-14', '7:05'), '2031-03-14', '18:30')).toBe(false);
  expect(isBefore(at('2031-03-14', '18:30'), '2031-03-14', '18:30')).toBe(false);
});
