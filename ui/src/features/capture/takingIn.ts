// Many pictures on their way in: which day each goes to, and what is said of all. It asks nothing of the notebook and keeps nothing.
import { dayPlus, today } from '../../format';
import type { Day, Ref, TakenPhoto } from '../../generated/wire';

/** A picture whose bytes are kept, and by what its day is known: its camera's clock, or the file alone. */
export type Kept = { file: string; hash: string; notDrawn: boolean; on: Day; at: string; byFile: boolean };
/** One that was not kept, and why. */
export type Left = { file: string; words: string };
/** The pictures of a day. */
export type OfDay = { day: Day; pictures: readonly Kept[] };

/** So many are entered by one change. */
export const AT_ONCE = 100;

/** A picture that was kept, with the day on which it was taken, or on which its file was last written. */
export function kept(file: { name: string; lastModified: number }, taken: TakenPhoto): Kept {
  const byFile = taken.taken_on === null;
  return { file: file.name, hash: taken.hash, notDrawn: taken.not_drawn, on: taken.taken_on ?? today(new Date(file.lastModified)), at: taken.taken_at ?? '', byFile };
}

/** So many days lie from one to another. */
export const daysBetween = (from: Day, until: Day): number => Math.round((Date.parse(until) - Date.parse(from)) / 86_400_000);

/** By day, each in the order of the camera's clock; all moved by so many days. */
export function byDay(pictures: readonly Kept[], shift: number): OfDay[] {
  const days = new Map<Day, Kept[]>();
  for (const picture of pictures.toSorted((a, b) => a.on.localeCompare(b.on) || a.at.localeCompare(b.at) || a.file.localeCompare(b.file, undefined, { numeric: true }))) {
    const day = dayPlus(picture.on, shift);
    days.set(day, [...(days.get(day) ?? []), picture]);
  }
  return [...days].map(([day, of]) => ({ day, pictures: of }));
}

/** How each is entered, no more of them at once than one change takes. */
export function portions(days: readonly OfDay[], about: Ref | ''): { hash: string; on: Day; about?: Ref }[][] {
  const all = days.flatMap(({ day, pictures }) => pictures.map(({ hash }) => ({ hash, on: day, ...(about ? { about } : {}) })));
  return Array.from({ length: Math.ceil(all.length / AT_ONCE) }, (_, at) => all.slice(at * AT_ONCE, (at + 1) * AT_ONCE));
}
