// What of an assembly's page is still open, and what is done with: one place for the page's parts and the counts above them. Whether an end
// of a finding holds is the core's word; nothing is judged here.
import type { AssemblyPage, FindingLine, HoldLine, JobLine } from '../../generated/wire';

/** Whether a finding is done with: ended by what holds, or struck out. */
export const isOver = (finding: FindingLine) => !finding.open;

/** Whether a job is to be done. */
export const isToDo = (job: JobLine) => job.open;

/** Whether it is to be settled if it is met: it is not done with, whatever it reads. */
export const isDisputed = (hold: HoldLine) => hold.asks.length > 0 && hold.struck === null;
/** Whether a hold point is to be met. */
export const isToMeet = (hold: HoldLine) => hold.open;

/** How much of a page is open and how much is done. */
export function countsOf(page: Pick<AssemblyPage, 'jobs' | 'holds' | 'findings' | 'points' | 'runs'>): { open: number; done: number } {
  const jobs = page.jobs.filter(isToDo).length;
  const holds = page.holds.filter(isToMeet).length;
  const findings = page.findings.filter((finding) => !isOver(finding)).length;
  const runs = page.runs.filter((run) => run.open).length;
  return {
    // One question counts once, however many points it is settled by, as it is listed.
    open: jobs + holds + findings + runs + page.points.filter((one) => one.id === one.question).length,
    done: page.jobs.length - jobs + page.holds.length - holds + page.findings.length - findings,
  };
}
