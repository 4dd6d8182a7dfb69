// When a keeper who keeps a record alone is told that nobody else has it.
import { describe, expect, it } from 'vitest';
import { wantsCopy } from './copies';

const NOW = new Date('2031-03-04T09:00:00Z');
const alone = { alone: true, only_here: 40, since: '2031-02-20T09:00:00Z' };

describe('wantsCopy', () => {
  const check = (saved: object, last: string | null, expected: boolean) => expect(wantsCopy({ ...alone, ...saved }, last, NOW)).toBe(expected);
  it('a week after the first entry', () => check({}, null, true));
  it('not in the first week', () => check({ since: '2031-02-27T09:00:00Z' }, null, false));
  it('not in the week after a copy, and again after it', () => {
    check({}, '2031-03-01T09:00:00Z', false);
    check({}, '2031-02-24T09:00:00Z', true);
  });
  it('not where another device keeps it, nor where there is nothing', () => {
    check({ alone: false }, null, false);
    check({ only_here: 0, since: null }, null, false);
  });
});
