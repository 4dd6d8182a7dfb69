// Years and months to jump to.
import { expect, it } from 'vitest';
import { yearsOf } from './years';

const mark = (day: string) => ({ day, patterns: ['plain'], names: ['Nell'] });

it('has each month with entries once, with its newest day, the newest year first', () => {
  const days = ['2025-10-26', '2025-10-30', '2025-11-01', '2024-02-29'].map(mark);
  expect(yearsOf(days, [])).toEqual([
    {
      year: '2025',
      months: [
        { month: '2025-11', newest: '2025-11-01', count: 1 },
        { month: '2025-10', newest: '2025-10-30', count: 2 },
      ],
    },
    { year: '2024', months: [{ month: '2024-02', newest: '2024-02-29', count: 1 }] },
  ]);
});

it('has the month that is shown though nothing stands in it, and does not lead to an empty day where others have entries', () => {
  expect(yearsOf([mark('2025-10-26')], ['2026-11-30', '2025-10-31'])).toEqual([
    { year: '2026', months: [{ month: '2026-11', newest: '2026-11-30', count: 0 }] },
    { year: '2025', months: [{ month: '2025-10', newest: '2025-10-26', count: 1 }] },
  ]);
});
