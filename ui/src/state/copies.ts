// When all of a record was last written into a file from here, which no record tells and no other device knows: it is kept in this
// browser, or this window, alone; a copy that the shell or another browser wrote is not known here.
import type { Id, Moment, Saved } from '../generated/wire';

const KEPT = 'witnessmark-copies';
/** So long a keeper who keeps a record alone is left in peace, in milliseconds. */
const WEEK = 7 * 24 * 3_600_000;

function all(): Record<Id, Moment> {
  try {
    return JSON.parse(localStorage.getItem(KEPT) ?? '{}') as Record<Id, Moment>;
  } catch {
    return {};
  }
}

/** The last time; nothing where it never was, or is not known. */
export const copied = (record: Id): Moment | null => all()[record] ?? null;

/** It was written now. */
export function copiedNow(record: Id, now = new Date()): void {
  try {
    localStorage.setItem(KEPT, JSON.stringify({ ...all(), [record]: now.toISOString() }));
  } catch {
    // A browser that keeps nothing asks again next time.
  }
}

/** Whether a keeper who has no second device is told that nobody else has it: a week after the first entry, and a week after each copy. */
export function wantsCopy({ alone, only_here, since }: Pick<Saved, 'alone' | 'only_here' | 'since'>, last: Moment | null, now = new Date()): boolean {
  const from = Date.parse(last ?? since ?? '');
  return alone && only_here > 0 && !Number.isNaN(from) && now.getTime() - from > WEEK;
}
