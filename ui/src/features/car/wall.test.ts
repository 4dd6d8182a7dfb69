// The wall beside a bore's numbers: straight where nothing differs, out where it is worn, and each cell meets the next.
import { describe, expect, it } from 'vitest';
import { bulge, wallOf } from './wall';

describe('how far out a point is drawn', () => {
  const check = (base: number, expected: number) => expect(bulge(base, 85.5, 85.6)).toBeCloseTo(expected, 6);
  it('the smallest', () => check(85.5, 0));
  it('the largest', () => check(85.6, 1));
  it('between', () => check(85.55, 0.5));
  it('nothing differs', () => expect(bulge(85.5, 85.5, 85.5)).toBe(0));
});

describe('the faces', () => {
  it('straight', () => expect(wallOf([0, 0], 0)).toEqual({ left: 'M14 0L14 30L14 60', right: 'M86 0L86 30L86 60' }));
  it('each cell ends where the next begins', () => {
    const worn = [1, 0.5, 0];
    for (const side of ['left', 'right'] as const) {
      const end = wallOf(worn, 0)[side].split('L')[2]?.split(' ')[0];
      expect(wallOf(worn, 1)[side].slice(1).split(' ')[0]).toBe(end);
    }
  });
});
