// How days, moments, measures, money and sizes are shown. It formats what the core sent; it never reckons with it.
import type { MissingPhoto, Saved } from './generated/wire';
import { counted } from './words';

// As the keeper's own device writes dates, where it writes them in the language of the pages.
const LOCALE = typeof document !== 'undefined' && navigator.language.startsWith('en') ? navigator.language : 'en-GB';
/** Whether it writes the month before the day. */
export const MONTH_FIRST = new Intl.DateTimeFormat(LOCALE).formatToParts(new Date(0)).find(({ type }) => type === 'day' || type === 'month')?.type === 'month';

/** A day at noon, so that no time zone moves it. */
function noon(day: string): Date {
  return new Date(`${day}T12:00:00`);
}

/** Today by this device's clock, as `2031-03-01`. */
export function today(now = new Date()): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** The day so many days later. */
export function dayPlus(day: string, days: number): string {
  const date = noon(day);
  date.setDate(date.getDate() + days);
  return today(date);
}

/** `Saturday 1 March 2031`. */
export function longDay(day: string): string {
  const date = noon(day);
  if (Number.isNaN(date.getTime())) return day;
  const weekday = date.toLocaleDateString(LOCALE, { weekday: 'long' });
  return `${weekday} ${date.toLocaleDateString(LOCALE, { day: 'numeric', month: 'long', year: 'numeric' })}`;
}

/** `Saturday`. */
export function weekday(day: string): string {
  const date = noon(day);
  return Number.isNaN(date.getTime()) ? '' : date.toLocaleDateString(LOCALE, { weekday: 'long' });
}

/** `1 March 2031`. */
export function shortDay(day: string | null | undefined): string {
  if (!day) return '';
  const date = noon(day);
  if (Number.isNaN(date.getTime())) return day;
  return date.toLocaleDateString(LOCALE, { day: 'numeric', month: 'long', year: 'numeric' });
}

/** `26 Oct`, and `26 Oct 2025` of another year: where there is little room. */
export function briefDay(day: string, now: string): string {
  const date = noon(day);
  if (Number.isNaN(date.getTime())) return day;
  return date.toLocaleDateString(LOCALE, { day: 'numeric', month: 'short', ...(day.slice(0, 4) === now.slice(0, 4) ? {} : { year: 'numeric' }) });
}

/** The pieces of a day for a narrow tab: `Sat`, `1`, `Mar`. */
export function dayPieces(day: string): { weekday: string; number: string; month: string; year: string } {
  const date = noon(day);
  const piece = (options: Intl.DateTimeFormatOptions) => date.toLocaleDateString(LOCALE, options);
  return {
    weekday: piece({ weekday: 'short' }),
    number: piece({ day: 'numeric' }),
    month: piece({ month: 'short' }),
    year: piece({ year: 'numeric' }),
  };
}

/** `Mar 2031`, as it stands over the days of a month. */
export function monthOf(day: string): string {
  const date = noon(day);
  return Number.isNaN(date.getTime()) ? '' : date.toLocaleDateString(LOCALE, { month: 'short', year: 'numeric' });
}

/** `October`. */
export function monthName(day: string): string {
  const date = noon(day);
  return Number.isNaN(date.getTime()) ? '' : date.toLocaleDateString(LOCALE, { month: 'long' });
}

/** How long ago a day was: `today`, `yesterday`, `5 days ago`, `3 weeks ago`. */
export function agoOf(day: string, now: string): string {
  const days = Math.round((Date.parse(now) - Date.parse(day)) / 86_400_000);
  if (days <= 0) return 'today';
  if (days === 1) return 'yesterday';
  return days < 15 ? `${days} days ago` : `${Math.floor(days / 7)} weeks ago`;
}

/** `Saturday 18:20` within the last week, else `1 March 2031, 18:20`. */
export function moment(at: string, now = new Date()): string {
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) return at;
  const time = date.toLocaleTimeString(LOCALE, { hour: '2-digit', minute: '2-digit' });
  const age = now.getTime() - date.getTime();
  if (age >= 0 && age < 6 * 24 * 3_600_000) {
    return `${date.toLocaleDateString(LOCALE, { weekday: 'long' })} ${time}`;
  }
  return `${date.toLocaleDateString(LOCALE, { day: 'numeric', month: 'long', year: 'numeric' })}, ${time}`;
}

/** `Saturday 18:20` within the last week, else the day alone, in few letters: nobody asks at what hour of a day long gone. */
function dayOrMoment(at: string, now: Date): string {
  const date = new Date(at);
  const age = now.getTime() - date.getTime();
  return Number.isNaN(age) || (age >= 0 && age < 6 * 24 * 3_600_000) ? moment(at, now) : briefDay(today(date), today(now));
}

/** `18:20` for today, the day with it for earlier. */
export function sinceWhen(at: string, now = new Date()): string {
  const date = new Date(at);
  const sameDay = !Number.isNaN(date.getTime()) && date.toDateString() === now.toDateString();
  return sameDay ? clock(at) : moment(at, now);
}

/** `18:20`. */
export function clock(at: string): string {
  const date = new Date(at);
  return Number.isNaN(date.getTime()) ? '' : date.toLocaleTimeString(LOCALE, { hour: '2-digit', minute: '2-digit' });
}

/** A kept measure: what was typed, and its exact value where that says something else. */
export function measure(kept: string): { typed: string; exact: string } {
  const at = kept.lastIndexOf(' = ');
  if (at < 0) return { typed: kept, exact: '' };
  const typed = kept.slice(0, at);
  const exact = kept.slice(at + 3);
  const bare = (text: string) => text.replaceAll(/\s/g, '').replace(/^0+(?=\d)/, '').replace(/(\.\d*?)0+(?=\D|$)/, '$1').replace(/\.(?=\D|$)/, '');
  return { typed, exact: bare(typed) === bare(exact) || exact.includes('/') ? '' : exact };
}

/** What a currency is called, by its three letters. */
export function currencyName(code: string): string {
  try {
    return new Intl.DisplayNames(LOCALE, { type: 'currency' }).of(code) ?? code;
  } catch {
    return code;
  }
}

/** `GBP 12.50` as `£12.50`; anything else as it is. */
export function money(kept: string): string {
  const found = /^([A-Z]{3}) (-?\d+(?:\.(\d+))?)$/.exec(kept);
  if (!found) return kept;
  const [, currency = '', amount = '', decimals = ''] = found;
  try {
    return new Intl.NumberFormat(LOCALE, { style: 'currency', currency, minimumFractionDigits: decimals.length }).format(Number(amount));
  } catch {
    return kept;
  }
}

/** `3.4 MB`, in units of a thousand. */
export function size(bytes: number): string {
  if (bytes < 1_000) return counted(bytes, 'byte');
  if (bytes < 1_000_000) return `${Math.round(bytes / 1_000)} kB`;
  return `${(bytes / 1_000_000).toFixed(1)} MB`;
}

/** `Jonna’s phone`; a device that has its keeper in its own name is called by that alone. */
export function whose(device: { keeper_name: string; name: string }): string {
  const [first = ''] = device.keeper_name.trim().split(/\s+/);
  const names = device.name.toLocaleLowerCase().includes(first.toLocaleLowerCase());
  return first === '' || names ? device.name : `${first}’s ${device.name}`;
}

/** The one line that says where the last words are. `device` is what the person holds: `phone` or `device`. */
export function savedLine(saved: Saved, device: string, now = new Date()): string {
  const points = saved.points > 0 ? ` · ${counted(saved.points, 'point')} to settle` : '';
  const [first, ...more] = saved.here;
  if (first) {
    const others = more.length > 0 ? ` and ${more.length} more` : '';
    const on = saved.only_here > 0 ? ` · ${counted(saved.only_here, 'entry', 'entries')} on the way` : '';
    return `With ${whose(first)}${others} since ${sinceWhen(first.since, now)}${on}${points}`;
  }
  if (saved.only_here > 0) {
    const since = saved.since ? ` since ${dayOrMoment(saved.since, now)}` : '';
    return `On this ${device} only: ${counted(saved.only_here, 'entry', 'entries')}${since}${points}`;
  }
  if (saved.alone) return `On this ${device} only: no second device yet${points}`;
  return `${saved.others === 1 ? 'Both have everything' : 'Another device has everything of yours'}${points}`;
}

/** A drawing's letter in two pieces: `gmin` is g with min at its foot; `CR` and `T'` are one piece. */
export function letterOf(letter: string): { stem: string; foot: string } {
  const found = /^(\p{L})([\p{Ll}\d]+)$/u.exec(letter);
  return { stem: found?.[1] ?? letter, foot: found?.[2] ?? '' };
}

/** Who has an original that is not here: `Not on this device. Jonna's phone has it.` */
export function whereIs({ held_by, asked }: MissingPhoto): string {
  const last = held_by.at(-1);
  const who =
    last === undefined
      ? 'Not on this device; who has it is not known yet.'
      : `Not on this device. ${held_by.length > 1 ? `${held_by.slice(0, -1).join(', ')} and ${last} have it.` : `${last} has it.`}`;
  return asked ? `${who} It is asked for, and comes when they meet.` : who;
}

/** Whether a reason says anything: a full stop is none. The core refuses one by the same measure. */
export const says = (why: string | undefined): boolean => /[\p{L}\p{N}]/u.test(why ?? '');

/** Words that stand by themselves: begun with a large letter. */
export const begun = (words: string): string => words.slice(0, 1).toLocaleUpperCase() + words.slice(1);

/** Where a part may lie besides in a container, and what is asked of it. */
export const ELSEWHERE = {
  off: { said: 'Off the car', asks: 'Where: on the bench, under the car' },
  away: { said: 'Away', asks: 'With whom' },
  scrapped: { said: 'Scrapped', asks: 'Why' },
  lost: { said: 'Not to be found', asks: 'Where it was looked for' },
  trial: { said: 'On for trial', asks: 'Why, or until when' },
} as const;

/** What is kept of where a part lies, in words; what a container is called its list says. */
export function liesSaid(kept: string): string {
  const at = kept.indexOf(':');
  const [word, said] = [kept.slice(0, at), kept.slice(at + 1)];
  if (word === 'place') return 'In its place';
  const way = ELSEWHERE[word as keyof typeof ELSEWHERE];
  return way ? [way.said, said].filter(Boolean).join(': ') : kept;
}
