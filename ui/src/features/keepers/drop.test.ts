// The words of a drop: what a look brought and left, and what the next would.
import { describe, expect, it } from 'vitest';
import type { DropSizes, DropTold } from '../../generated/wire';
import { aheadOf, toldOf } from './drop';

const nothing: DropTold = {
  batches: 0,
  changes: 0,
  photos_fetched: 0,
  photos_left: 0,
  written: 0,
  photos_put: 0,
  bytes_written: 0,
  bytes_read: 0,
  bytes_there: 0,
  waiting: 0,
  unfinished: 0,
  not_for_me: 0,
  aside: 0,
  faults: [],
  stopped: null,
};

describe('what a look did', () => {
  const check = (change: Partial<DropTold>, ...expected: string[]) => expect(toldOf({ ...nothing, ...change })).toEqual(expected);
  it('nothing', () => check({}, 'It brought nothing new.', 'Nothing lies there.'));
  it('both ways', () =>
    check(
      { changes: 3, photos_fetched: 1, written: 3, photos_put: 2, bytes_written: 2_000, bytes_there: 9_000 },
      'It brought 3 entries and 1 photo.',
      'Left there: 3 files (of these 2 photos), 2 kB.',
      '9 kB lay there before that.',
    ));
  it('the first look', () => check({ written: 1, bytes_written: 2_000 }, 'It brought nothing new.', 'Left there: 1 file, 2 kB.', 'Nothing lay there before that.'));
  it('nothing new', () => check({ bytes_there: 9_000 }, 'It brought nothing new.', '9 kB lie there in all.'));
  it('what waits', () =>
    check(
      { waiting: 1, aside: 2 },
      'It brought nothing new.',
      '1 file waits: for others to arrive, or for a device that is not known here yet. Where two have never met, pair them or carry a file from each to the other; a later look takes the rest.',
      '2 files of a device that is met no more: set aside.',
      'Nothing lies there.',
    ));
  it('several wait', () => expect(toldOf({ ...nothing, waiting: 2 })[1]).toBe('2 files wait: for others to arrive, or for a device that is not known here yet. Where two have never met, pair them or carry a file from each to the other; a later look takes the rest.'));
});

describe('what the next look would do', () => {
  const sizes: DropSizes = {
    read: 2,
    bytes_read: 4_000,
    photos_fetch: 0,
    bytes_fetch: 0,
    write: 1,
    bytes_write: 1_000,
    photos_put: 3,
    bytes_put: 2_500_000,
    bytes_there: 0,
    news_from: ['Wilf’s laptop'],
  };
  it('both ways', () =>
    expect(aheadOf(sizes)).toEqual([
      'It would bring 2 files, 4 kB.',
      'It would leave 1 file, 1 kB, and 3 photos, 2.5 MB.',
      'News from Wilf’s laptop.',
    ]));
});
