// Narrowing a list: every typed word must be somewhere in the label, in any order; what is left out is counted.
import { describe, expect, it } from 'vitest';
import { matching } from './options';

const OPTIONS = ['Front brakes', 'Rear brakes and handbrake', 'Rocker gear'].map((label) => ({ value: label, label }));

describe('matching', () => {
  const check = (typed: string, expected: string[]) => expect(matching(OPTIONS, typed).shown.map((one) => one.label)).toEqual(expected);
  it('all', () => check('', OPTIONS.map((one) => one.label)));
  it('any case', () => check('ROCK', ['Rocker gear']));
  it('words in any order', () => check('brakes rear', ['Rear brakes and handbrake']));
  it('none', () => check('sump', []));
  it('counts what is left out', () => expect(matching(OPTIONS, '', 2).left).toBe(1));
});
