// A day as a keeper writes it, and what is no day.
import { describe, expect, it } from 'vitest';
import { longDay, shortDay } from '../format';
import { dayOf } from './days';

// A Tuesday.
const NOW = '2031-03-04';

describe('dayOf', () => {
  const check = (typed: string, expected: string | null, monthFirst = false) => expect(dayOf(typed, NOW, monthFirst), typed).toBe(expected);
  it('as it is kept', () => check('2025-10-26', '2025-10-26'));
  it('in numbers', () => {
    check('26.10.2025', '2025-10-26');
    check('26/10/25', '2025-10-26');
    check('3.5.54', '1954-05-03');
    check('3-5-31', '2031-05-03');
    check('26 10 2025', '2025-10-26');
  });
  it('the month first where the keeper writes so, and only between strokes', () => {
    check('3/1/31', '2031-01-03');
    check('3/1/31', '2031-03-01', true);
    check('3.1.31', '2031-01-03', true);
  });
  it('without a year the nearest', () => {
    check('1.3.', '2031-03-01');
    check('1.3', '2031-03-01');
    check('24 Dec', '2030-12-24');
    check('5/4', '2031-04-05');
  });
  it('in words', () => {
    check('26 Oct 2025', '2025-10-26');
    check('26. October 2025', '2025-10-26');
    check('26th october', '2030-10-26');
    check('Oct 26, 2025', '2025-10-26');
    check('sept 3', '2030-09-03');
    check('Sunday 26 October 2025', '2025-10-26');
    check('Sun, Oct 26 25', '2025-10-26');
  });
  it('as one speaks of it', () => {
    check('today', NOW);
    check(' Yesterday ', '2031-03-03');
    check('Saturday', '2031-03-01');
    check('tue', NOW);
    check('Wed', '2031-02-26');
  });
  it('what is no day', () => {
    for (const typed of ['', 'soon', '31.2.2031', '29 Feb 2031', '2031-13-01', '26 Octember', '1', '12/13/14/15', 'ma 3', 'mayor 3']) check(typed, null);
  });
  it('what the pages say of a day, they take', () => {
    for (const day of ['2025-10-26', '1954-05-03', '2032-02-29']) {
      check(shortDay(day), day);
      check(longDay(day), day);
    }
  });
});
