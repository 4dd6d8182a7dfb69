// A refusal to close is a short sentence and a list, and no other refusal is taken for one.
import { describe, expect, test } from 'vitest';
import { Refused } from '../../faces/face';
import type { Blocker } from '../../generated/wire';
import { cameAfter, inShort, keyOf, stillOpen } from './stillOpen';

const blocker = (check: string, about: string, point: string | null = null) => ({ check, about, point, title: about }) as unknown as Blocker;
const WALL = "'Roof rack' cannot close yet: job 'Straighten the foot' in 'Roof rack' is open; finding 'weld cracked' in 'Roof rack' (danger) has no end";

describe('a refusal to close', () => {
  test('is taken apart', () => {
    const blockers = [blocker('job', 'job:1'), blocker('finding', 'finding:2')];
    const found = stillOpen(new Refused('still_open', WALL, { assembly: 'Roof rack', blockers }));
    expect(found?.blockers.map(keyOf)).toEqual(['job job:1 ', 'finding finding:2 ']);
    expect(found && inShort(found)).toBe('Roof rack cannot close yet: 2 things in the way.');
  });
  test('of one thing', () => {
    expect(inShort({ assembly: 'Roof rack', blockers: [blocker('job', 'job:1')] })).toBe('Roof rack cannot close yet: 1 thing in the way.');
  });
  test('that brings no list keeps its own words', () => {
    expect(stillOpen(new Refused('still_open', WALL))).toBe(null);
    expect(stillOpen(new Refused('already_closed', 'Roof rack is closed'))).toBe(null);
    expect(stillOpen(new Error('gone'))).toBe(null);
  });
  test('tells one point from another of the same assembly', () => {
    expect(keyOf(blocker('point', 'assembly:1', 'a'))).not.toBe(keyOf(blocker('point', 'assembly:1', 'b')));
  });
});

describe('a reason for all of a sort', () => {
  const known = blocker('finding', 'finding:1');
  const over = keyOf(known);
  test('holds for what it was written over, and for nothing that came afterwards', () => {
    expect(cameAfter(known, 'stone chips, painted later', over)).toBe(false);
    expect(cameAfter(blocker('finding', 'finding:2'), 'stone chips, painted later', over)).toBe(true);
  });
  test('that says nothing yet, or was kept before this was asked, parts nothing', () => {
    expect(cameAfter(blocker('finding', 'finding:2'), ' … ', over)).toBe(false);
    expect(cameAfter(blocker('finding', 'finding:2'), 'painted later', undefined)).toBe(false);
  });
});
