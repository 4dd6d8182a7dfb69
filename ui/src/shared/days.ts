// A day as a keeper writes it: `26.10.25`, `26 Oct`, `yesterday`. It says which day is meant, or that none is; the notebook keeps days its own way.
import { dayPlus } from '../format';

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
const WEEKDAYS = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];

const two = (n: number) => String(n).padStart(2, '0');

/** The day of these numbers; nothing where the calendar has none. */
function dayAt(year: number, month: number, day: number): string | null {
  const date = new Date(Date.UTC(year, month - 1, day, 12));
  const is = date.getUTCFullYear() === year && date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
  return is ? `${String(year).padStart(4, '0')}-${two(month)}-${two(day)}` : null;
}

/** Of a year in two digits the nearest that lies at most ten years ahead: a car's papers are older than its next test. */
function yearOf(digits: string, now: string): number {
  if (digits.length > 2) return Number(digits);
  const year = Number(now.slice(0, 2)) * 100 + Number(digits);
  return year > Number(now.slice(0, 4)) + 10 ? year - 100 : year;
}

/** Of a day without a year the one nearest to today. */
function nearest(month: number, day: number, now: string): string | null {
  const year = Number(now.slice(0, 4));
  const far = (one: string) => Math.abs(Date.parse(one) - Date.parse(now));
  const days = [year - 1, year, year + 1].flatMap((one) => dayAt(one, month, day) ?? []);
  return days.toSorted((a, b) => far(a) - far(b))[0] ?? null;
}

/** A month's or a weekday's place in its list, by three letters or more of its name. */
function named(list: readonly string[], full: (at: number) => string, word: string): number {
  const lower = word.toLocaleLowerCase().replace(/\.$/, '');
  return list.findIndex((short, at) => lower.length >= 3 && lower.startsWith(short) && full(at).startsWith(lower === 'sept' ? 'sep' : lower));
}
const english = (options: Intl.DateTimeFormatOptions, date: number) => new Date(date).toLocaleDateString('en-GB', { ...options, timeZone: 'UTC' }).toLocaleLowerCase();
const month = (word: string) => named(MONTHS, (at) => english({ month: 'long' }, Date.UTC(2023, at, 1)), word) + 1;
// The first of October 2023 was a Sunday.
const weekday = (word: string) => named(WEEKDAYS, (at) => english({ weekday: 'long' }, Date.UTC(2023, 9, 1 + at)), word);

/** The day that is meant, as `2031-03-01`; nothing where it cannot be told. `monthFirst`: of `3/1` the 3 is the month. */
export function dayOf(typed: string, now: string, monthFirst = false): string | null {
  const text = typed.trim().replace(/\s+/g, ' ');
  if (/^today$/i.test(text)) return now;
  if (/^yesterday$/i.test(text)) return dayPlus(now, -1);
  if (/^tomorrow$/i.test(text)) return dayPlus(now, 1);
  const kept = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(text);
  if (kept) return dayAt(Number(kept[1]), Number(kept[2]), Number(kept[3]));

  const numbers = /^(\d{1,2})([./ -])(\d{1,2})(?:\2?|\2(\d{2}|\d{4}))$/.exec(text);
  if (numbers) {
    const [, first = '', mark = '', second = '', year] = numbers;
    const [day, at] = monthFirst && mark === '/' ? [second, first] : [first, second];
    return year ? dayAt(yearOf(year, now), Number(at), Number(day)) : nearest(Number(at), Number(day), now);
  }

  // A weekday before it says nothing more: `Sunday 26 October 2025`.
  const words = text.replace(/^([a-z]+),? (?=\d|[a-z]{3,9}\.? \d)/i, (all, word: string) => (weekday(word) >= 0 ? '' : all));
  const said = /^(\d{1,2})(?:st|nd|rd|th)?\.? ?([a-z]+\.?),?(?: (\d{2}|\d{4}))?$/i.exec(words) ?? null;
  const turned = /^([a-z]+\.?) (\d{1,2})(?:st|nd|rd|th)?(?:,? (\d{2}|\d{4}))?$/i.exec(words);
  const [day, name, year] = said ? [said[1], said[2], said[3]] : turned ? [turned[2], turned[1], turned[3]] : [];
  if (day && name && month(name) > 0) {
    return year ? dayAt(yearOf(year, now), month(name), Number(day)) : nearest(month(name), Number(day), now);
  }

  // A weekday by itself is the last one: what is written down was done.
  const at = weekday(text);
  if (at < 0) return null;
  const today = new Date(`${now}T12:00:00Z`).getUTCDay();
  return dayPlus(now, -((today - at + 7) % 7));
}
