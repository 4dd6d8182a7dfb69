// What a page of an assembly counts is what the tree counts of it: its own and what is open inside it; what is struck is not of them.
import { describe, expect, test } from 'vitest';
import type { AssemblyLine } from '../../generated/wire';
import { openInside, standing } from './open';

const line = (id: string, jobs: number, holds: number) => ({ id, name: id, open: { jobs, holds, dangers: 0, findings: 0, runs: 0 } }) as unknown as AssemblyLine;

describe('what is open inside', () => {
  const inside = [line('head', 1, 0), line('block', 0, 0), line('carburettor', 2, 1)];
  test('is told with where it is', () => {
    const { count, lines } = openInside(inside, 'jobs');
    expect([count, lines.map((one) => one.id)]).toEqual([3, ['head', 'carburettor']]);
    expect(openInside(inside, 'holds').count).toBe(1);
  });
  test('is nothing where nothing is', () => expect(openInside([line('block', 0, 0)], 'jobs')).toEqual({ count: 0, lines: [] }));
});

describe('how many stand', () => {
  const struck = { struck: { why: 'Entered twice' } };
  const check = (all: readonly { struck: unknown }[], expected: string) => expect(standing(all)).toBe(expected);
  test('none', () => check([], ''));
  test('all of them', () => check([{ struck: null }, { struck: null }], '2'));
  test('with what was struck out', () => check([{ struck: null }, struck, struck], '1, and 2 struck out'));
  test('only struck ones', () => check([struck], '0, and 1 struck out'));
});
