// How comings and the days of deeds are said: 'on Tuesday evening', 'by a carry file'. It formats what the core sent.
import { shortDay, today, weekday } from '../../format';
import type { CameLine, CamePlace, ComingLine, Road, Unread } from '../../generated/wire';
import { counted } from '../../words';

const WEEK = 6;

/** By which road something came. */
export const ROAD: Readonly<Record<Road, string>> = {
  file: 'by a carry file',
  live: 'in a meeting',
  drop: 'through a drop',
  joined: 'when this device joined',
};

/** The part of a day, as one says it. */
function partOf(hour: number): string {
  if (hour < 5) return 'night';
  if (hour < 12) return 'morning';
  return hour < 17 ? 'afternoon' : 'evening';
}

const daysBetween = (day: string, now: string) => Math.round((Date.parse(now) - Date.parse(day)) / 86_400_000);

/** `today`, `yesterday`, `on Tuesday`, `on 3 May 2031`. */
function dayWords(day: string, now: string): string {
  const age = daysBetween(day, now);
  if (age === 0) return 'today';
  if (age === 1) return 'yesterday';
  return age > 1 && age <= WEEK ? `on ${weekday(day)}` : `on ${shortDay(day)}`;
}

/** What was done so lately was not done last night, though the night is over. */
const LATELY = 3 * 3_600_000;

/** A night by its day, which is the one it ends on: the one that is not over yet is tonight. */
function nightWords(date: Date, age: number, now: Date): string {
  const nights = partOf(now.getHours()) === 'night' ? age - 1 : age;
  if (nights < 0) return 'tonight';
  if (nights > 0) return 'the night before last';
  return now.getTime() - date.getTime() < LATELY ? 'early this morning' : 'last night';
}

/** `this evening`, `tonight`, `yesterday evening`, `on Tuesday evening`, `on 3 May 2031`. */
export function evening(at: string, now = new Date()): string {
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) return '';
  const part = partOf(date.getHours());
  const age = daysBetween(today(date), today(now));
  if (part === 'night' && (age === 0 || age === 1)) return nightWords(date, age, now);
  if (age === 0) return `this ${part}`;
  // An evening at the bench goes on past midnight.
  if (age === 1) return part === 'evening' && partOf(now.getHours()) === 'night' ? 'this evening' : `yesterday ${part}`;
  const day = dayWords(today(date), today(now));
  return age > 1 && age <= WEEK ? `${day} ${part}` : day;
}

/** When what a line tells was done: the day that was said, else the evening, else from which day to which. */
export function whenDone(line: Pick<CameLine, 'since' | 'at' | 'on'>, now = new Date()): string {
  const first = today(new Date(line.since));
  const last = today(new Date(line.at));
  if (line.on !== null && line.on !== last) return dayWords(line.on, today(now));
  if (first === last) return evening(line.at, now);
  const bare = (day: string) => dayWords(day, today(now)).replace(/^on /, '');
  return `from ${bare(first)} to ${bare(last)}`;
}

/** `Yesterday evening, by a carry file from Wilf’s laptop`. */
export function comingWords(coming: ComingLine, now = new Date()): string {
  const when = evening(coming.at, now);
  const from = coming.from.length > 0 ? ` ${coming.road === 'live' ? 'with' : 'from'} ${coming.from.join(' and ')}` : '';
  return `${when.charAt(0).toLocaleUpperCase()}${when.slice(1)}, ${ROAD[coming.road]}${from}`;
}

/** `12 things, 2 to settle`. */
export function amountWords(of: Pick<Unread, 'things' | 'points'>): string {
  const settle = of.points > 0 ? `, ${of.points} to settle` : '';
  return `${counted(of.things, 'thing')}${settle}`;
}

/** The line into which what was only worded otherwise is folded. */
export function smallerWords(place: CamePlace): string {
  const more = place.lines.length > 0 || place.photos.length > 0;
  const count = place.smaller.length;
  return `${more ? 'and ' : ''}${count} smaller ${count === 1 ? 'change' : 'changes'}`;
}
