// The words of meetings: who is here, what is still to go across, why it ended; and a QR code's modules as a path.
import { describe, expect, it } from 'vitest';
import { moment } from '../../format';
import type { MeetLine, MemberLine } from '../../generated/wire';
import { across, ahead, asideLine, ending, goesOn, isSpoken, isTicket, left, modulesPath, noMeeting, notKept, presence, ticketOf } from './meeting';

const NOW = new Date(2031, 2, 4, 15, 0);
const away: MeetLine = {
  device: '1',
  name: 'phone',
  keeper_name: 'Jonna',
  phase: 'away',
  since: null,
  sent: 0,
  got: 0,
  lacking_there: 0,
  lacking_here: 0,
  photos_left: 0,
  photos_wrong: 0,
  alike: false,
  difference: false,
  last_met: null,
  ended: null,
} as MeetLine;
const at = (day: number, hour: number, minute: number) => new Date(2031, 2, day, hour, minute).toISOString();

describe('who is here', () => {
  const check = (change: Partial<MeetLine>, expected: string) => expect(presence({ ...away, ...change }, NOW)).toBe(expected);
  it('never', () => check({}, 'not met yet'));
  it('earlier today', () => check({ last_met: at(4, 9, 5) }, 'last met 09:05'));
  it('the day before', () => check({ last_met: at(3, 9, 5) }, 'last met Monday 09:05'));
  it('now', () => check({ phase: 'live', since: at(4, 14, 2) }, 'here since 14:02'));
});

describe('what goes across', () => {
  const check = (change: Partial<MeetLine>, expected: string) => expect(across({ ...away, ...change })).toBe(expected);
  it('nothing while away', () => check({ lacking_here: 3 }, ''));
  it('both ways', () => check({ phase: 'changes', lacking_here: 1, lacking_there: 12 }, '1 entry still to come, 12 entries still to go'));
  it('photos', () => check({ phase: 'photos', photos_left: 5 }, 'entries are across; 5 photos still to come'));
  it('the same', () => check({ phase: 'live', alike: true }, 'both hold the same'));
  it('the same, photos on demand', () => check({ phase: 'live', alike: true, photos_left: 2 }, 'same entries on both; 2 photos still to come'));
  it('not compared yet', () => check({ phase: 'live' }, 'comparing'));
});

describe('why nobody can be met', () => {
  const member = (change: Partial<MemberLine>): MemberLine => ({ device: '2', name: 'laptop', keeper_name: 'Wilf', this: false, unnamed: null, key: 'ab', sealed_to: true, revoked: null, knew: [], ...change });
  const here = member({ device: '1', name: 'phone', this: true });
  const revoked = { why: 'Lost' } as NonNullable<MemberLine['revoked']>;
  const check = (on: boolean, others: readonly MemberLine[], expected: string | null) => expect(noMeeting({ on }, others)).toBe(expected);
  it('somebody can', () => check(true, [here, member({})], null));
  it('meetings are off', () => check(false, [here, member({})], 'off'));
  it('by carry file only', () => check(true, [here, member({ key: null })], 'nobody_paired'));
  it('turned on, nobody could either', () => check(false, [here, member({ key: null })], 'nobody_paired'));
  it('one of two', () => check(true, [here, member({ key: null }), member({ device: '3' })], null));
  it('the only other one is met no more', () => check(true, [here, member({ revoked })], 'alone'));
  it('paired here and cut off again', () => check(true, [here, member({ unnamed: false })], 'alone'));
  it('paired here, not named by the record yet', () => check(true, [here, member({ unnamed: true })], null));
  it('this one is met no more', () => check(true, [{ ...here, revoked }, member({})], 'this_no_more'));
  it('one car, one device', () => check(true, [here], 'alone'));
});

describe('why it ended', () => {
  it('a reason', () => expect(ending({ ...away, ended: 'the connection was lost' })).toBe('it ended because the connection was lost'));
  it('none while here', () => expect(ending({ ...away, phase: 'live', ended: 'the connection was lost' })).toBe(''));
});

describe('a ticket', () => {
  const check = (seconds: number, expected: string) => expect(left(seconds)).toBe(expected);
  it('two minutes', () => check(120, '2:00'));
  it('nine seconds', () => check(9, '0:09'));
  it('over', () => check(-1, '0:00'));
  it('digits are told from a ticket', () => expect(['4821 7730', '48217730', 'wm1-ab', ''].map(isSpoken)).toEqual([true, true, false, false]));
  it('a code that holds one, in capitals too; any other code is passed over', () =>
    expect(['wm1-ab', 'WM1-AB', 'https://shop.example', '4821 7730'].map(isTicket)).toEqual([true, true, false, false]));
  it('broken over lines', () => expect(ticketOf(' wm1-ab\n cd\t')).toBe('wm1-abcd'));
  it('goes on while digits are compared', () => expect(['open', 'reaching', 'compare', 'waiting'].every((one) => goesOn(one as never))).toBe(true));
  it('does not after', () => expect(['closed', 'paired', 'ended'].some((one) => goesOn(one as never))).toBe(false));
});

describe('modules of a QR code', () => {
  it('runs of dark, a quiet zone of four around them', () =>
    expect(modulesPath([[true, true, false], [false, false, true]])).toBe('M4 4h2v1h-2zM6 5h1v1h-1z'));
});

describe('what was set aside', () => {
  const check = (words: string, expected: string) => expect(asideLine(words)).toBe(expected);
  const past = new Date(2025, 10, 6, 12, 6);
  it('says when, as a person would', () => check(`${past.toISOString()}: Noted on the sheet`, `${moment(past.toISOString())}: Noted on the sheet`));
  it('what the program laid down has no moment', () => check('1970-01-01T00:00:00Z: Laid down the day sheets', 'Laid down the day sheets'));
  it('what cannot be read is shown as it is', () => check('cannot be read: too long', 'cannot be read: too long'));
});

describe('what was not kept of it', () => {
  const at = new Date(2025, 10, 6, 12, 6).toISOString();
  it('once', () =>
    expect(notKept({ most: 500, not_kept: 1, not_kept_last: at })).toBe(
      `Not all is here: at most 500 files are kept of a car, and one more came, ${moment(at)}. Of that nothing is kept.`,
    ));
  it('often', () =>
    expect(notKept({ most: 500, not_kept: 3, not_kept_last: null })).toBe(
      'Not all is here: at most 500 files are kept of a car, and more came 3 times. Of that nothing is kept.',
    ));
});

describe('what a file would hold', () => {
  const told = { changes: 1, bytes_changes: 2_000, photos: 3, bytes_photos: 4_500_000 };
  it('with photos', () => expect(ahead(told, true)).toBe('1 entry, 2 kB; 3 photos, 4.5 MB'));
  it('without', () => expect(ahead(told, false)).toBe('1 entry, 2 kB; no photos'));
});
