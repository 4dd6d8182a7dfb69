// A run in words and by bolt: tight, next, to do; finished; and what was logged last of each.
import { describe, expect, it } from 'vitest';
import type { RunPage, TightenedLine } from '../../generated/wire';
import { describeRun, lastOfEach, standingOf } from './run';

const places = [1, 2, 3, 4].map((number) => ({ number, x: 0, y: 0 }));
const pass = (number: number, done: number[]) => ({ number, percent: 50, torque: '10 N·m', order: [1, 3, 2, 4], done, last_round: false });
const run = (next: [number, number] | null, ...done: number[][]): Pick<RunPage, 'passes' | 'next' | 'places' | 'layout' | 'disputed'> => ({
  disputed: [],
  layout: 'circle',
  places,
  passes: done.map((each, at) => pass(at + 1, each)),
  next: next ? { pass: next[0], place: next[1], torque: '10 N·m', words: '' } : null,
});

describe('how each bolt stands in the pass under way', () => {
  const check = (page: ReturnType<typeof run>, expected: string[]) => expect([...standingOf(page).values()]).toEqual(expected);
  it('at the beginning', () => check(run([1, 1], [], []), ['next', 'to_do', 'to_do', 'to_do']));
  it('in the middle', () => check(run([1, 2], [1, 3], []), ['tight', 'next', 'tight', 'to_do']));
  it('at the next pass all are to do again', () => check(run([2, 1], [1, 2, 3, 4], []), ['next', 'to_do', 'to_do', 'to_do']));
  it('disputed, it is not tight, whatever was logged', () =>
    check({ ...run([1, 2], [1, 3], []), disputed: [3] }, ['tight', 'next', 'disputed', 'to_do']));
  it('at the end', () => check(run(null, [1, 2, 3, 4], [1, 2, 3, 4]), ['tight', 'tight', 'tight', 'tight']));
});

describe('in words', () => {
  it('in the order of the pass', () => expect(describeRun(run([2, 2], [1, 2, 3, 4], [1, 3]))).toBe('4 bolts on a circle. Pass 2 of 2. Tight: 1, 3. Next: 2. To do, in this order: 4.'));
  it('done', () => expect(describeRun(run(null, [1, 2, 3, 4]))).toBe('4 bolts on a circle. All are tight in every pass.'));
  it('disputed', () => {
    expect(describeRun({ ...run([1, 2], [1, 3], []), disputed: [3] })).toBe('4 bolts on a circle. Pass 1 of 2. Tight: 1. Next: 2. To do, in this order: 4. Disputed, to be settled: 3.');
    expect(describeRun({ ...run(null, [1, 2, 3, 4]), disputed: [1, 2] })).toBe('4 bolts on a circle. All were logged in every pass. Disputed, to be settled: 1, 2.');
  });
});

describe('what was logged last of each bolt', () => {
  const line = (place: number, torque: string) => ({ place, torque }) as TightenedLine;
  it('by number', () => expect(lastOfEach([line(2, 'a'), line(1, 'b'), line(2, 'c')])).toEqual([line(1, 'b'), line(2, 'c')]));
});
