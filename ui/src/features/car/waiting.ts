// Whether a job is still to be let lie: a day, and a time of it by the clock on the wall of the garage. It judges nothing else of a job.
import type { JobLine } from '../../generated/wire';

/** `7:05` as a clock shows it: `07:05`. */
const full = (time: string) => time.trim().padStart(5, '0');

/** The time of a moment as a clock with 24 hours shows it, whatever the keeper's own writes. */
export const timeOf = (now: Date) => `${String(now.getHours()).padStart(2, '0')}:${String(now.getMinutes()).padStart(2, '0')}`;

/** Whether nobody goes on with it yet, at a day and a time of it. */
export function isBefore(job: Pick<JobLine, 'not_before' | 'not_before_time'>, day: string, time: string): boolean {
  if (!job.not_before) return false;
  if (job.not_before !== day) return job.not_before > day;
  return Boolean(job.not_before_time) && full(job.not_before_time ?? '') > full(time);
}
