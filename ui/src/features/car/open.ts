// What of an assembly's page is still open, and what is done with: one place for the page's parts and the counts above them. Whether an end
// of a finding holds is the core's word; nothing is judged here.
import type { AssemblyLine, AssemblyPage, FindingLine, HoldLine, JobLine } from '../../generated/wire';

/** Whether a finding is done with: ended by what holds, that nothing is wrong, or struck out. */
export const isOver = (finding: FindingLine) => !finding.open;

/** What findings that are done with are called together. */
export const endedOr = (findings: readonly FindingLine[]) => (findings.some((finding) => finding.how_bad === 'sound') ? 'ended, or sound' : 'ended');

/** Whether a job is to be done in this round. */
export const isToDo = (job: JobLine) => job.open;
/** Whether a job is put off to a later round. */
export const isLater = (job: JobLine) => job.state === 'later' && job.struck === null;

/** Whether it is to be settled if it is met: it is not done with, whatever it reads. */
export const isDisputed = (hold: HoldLine) => hold.asks.length > 0 && hold.struck === null;
/** Whether a hold point is to be met. */
export const isToMeet = (hold: HoldLine) => hold.open;

/** What is open in what lies inside: how much, and in which of it. */
export function openInside(inside: readonly AssemblyLine[], of: 'jobs' | 'holds'): { count: number; lines: readonly AssemblyLine[] } {
  const lines = inside.filter((line) => line.open[of] > 0);
  return { count: lines.reduce((sum, line) => sum + line.open[of], 0), lines };
}

/** Of how many one speaks: those that were struck out are listed, and are not of them. */
export function standing(all: readonly { struck: unknown }[]): string {
  const struck = all.filter((one) => one.struck).length;
  const count = all.length - struck;
  return struck > 0 ? `${count}, and ${struck} struck out` : count > 0 ? String(count) : '';
}

/** How much of a page is open and how much is done. */
export function countsOf(page: Pick<AssemblyPage, 'jobs' | 'holds' | 'findings' | 'points' | 'runs'>): { open: number; done: number } {
  const jobs = page.jobs.filter(isToDo).length;
  const holds = page.holds.filter(isToMeet).length;
  const findings = page.findings.filter((finding) => !isOver(finding)).length;
  const runs = page.runs.filter((run) => run.open).length;
  return {
    // One question counts once, however many points it is settled by, as it is listed.
    open: jobs + holds + findings + runs + page.points.filter((one) => one.id === one.question).length,
    done: page.jobs.filter((job) => !isToDo(job) && !isLater(job)).length + page.holds.length - holds + page.findings.length - findings,
  };
}
