// Puts a job in a state, with what goes with it, in one change; told with the way back where there is one.
import type { Id, JobLine } from '../../generated/wire';
import { notebook } from '../../state/notebook.svelte';
import { told } from '../../state/told.svelte';
import { backBy, wayOf, type Way } from '../entry/wayBack';

/** What is put with a state. */
type Put = { state: string; outcome?: string; left_off?: string; undone_by?: Id };

const idOf = (name: string) => name.slice(name.indexOf(':') + 1);

/** Puts it; `also` is done after it, and taken back with it. */
export async function putJob(job: JobLine, fields: Put, words: string, also: () => Promise<Way[]> = async () => []): Promise<void> {
  // As it is before: the page may be asked again, and show what came of it, before the answers are here.
  const before = { state: job.state, outcome: job.outcome, left_off: job.left_off, undone_by: job.undone_by && idOf(job.undone_by.name) };
  // What bigger job stood behind it is believed beside its state only: it goes back with that.
  const put = Object.fromEntries(Object.entries(before).filter(([field, value]) => field === 'state' || field in fields || (field === 'undone_by' && value !== null)));
  await notebook.call('change_job', { id: job.id, fields });
  const back = [await wayOf('job', job.id, put), ...(await also())];
  // Put back to done it would be done by whoever undid it.
  told.say(words, job.state === 'done' || job.state === 'dropped' ? null : backBy(back));
}
