// Years and months that a person may jump to: those with entries, and those of the days that are in sight anyway. The newest come first.
import type { Day, DayMark } from '../../generated/wire';

/** A month: its newest day, and how many of its days have entries. */
export type Month = { month: string; newest: Day; count: number };

export function yearsOf(days: readonly DayMark[], besides: readonly Day[]): { year: string; months: Month[] }[] {
  const months = new Map<string, Month>();
  const seen = (day: Day, count: number) => {
    const month = day.slice(0, 7);
    const found = months.get(month);
    // A day without entries is a month's newest only where it has none that have.
    if (!found) months.set(month, { month, newest: day, count });
    else if (count > 0) months.set(month, { month, newest: found.count > 0 && found.newest > day ? found.newest : day, count: found.count + count });
  };
  for (const { day } of days) seen(day, 1);
  for (const day of besides) seen(day, 0);
  const all = [...months.values()].toSorted((a, b) => (a.month < b.month ? 1 : -1));
  const years = [...new Set(all.map(({ month }) => month.slice(0, 4)))];
  return years.map((year) => ({ year, months: all.filter(({ month }) => month.startsWith(year)) }));
}
