// A tightening run in words and by bolt: which are tight in the pass under way, which is next. It orders nothing and reckons
// no torque; both come from the core.
import type { RunPage, RunPass, TightenedLine } from '../../generated/wire';

/** How a bolt stands in the pass under way. */
export type Standing = 'tight' | 'next' | 'to_do' | 'disputed';

/** The pass under way; the last one when all is done. */
export function passOf(page: Pick<RunPage, 'passes' | 'next'>): RunPass | undefined {
  const number = page.next?.pass;
  return page.passes.find((pass) => pass.number === number) ?? page.passes[page.passes.length - 1];
}

/** Each bolt's standing in that pass. */
export function standingOf(page: Pick<RunPage, 'passes' | 'next' | 'places' | 'disputed'>): Map<number, Standing> {
  const pass = passOf(page);
  return new Map(
    page.places.map(({ number }) => {
      if (page.next?.place === number) return [number, 'next'];
      // What two said otherwise of is tight for neither, until they have settled it.
      if (page.disputed.includes(number)) return [number, 'disputed'];
      return [number, pass?.done.includes(number) ? 'tight' : 'to_do'];
    }),
  );
}

/** The picture in words. */
export function describeRun(page: Pick<RunPage, 'passes' | 'next' | 'places' | 'layout' | 'disputed'>): string {
  const standing = standingOf(page);
  const pass = passOf(page);
  const order = pass?.order ?? page.places.map(({ number }) => number);
  const those = (how: Standing) => order.filter((number) => standing.get(number) === how).join(', ') || 'none';
  const lie = page.layout === 'circle' ? ' on a circle' : page.layout === 'rows' ? ' in rows' : '';
  const which = pass ? ` Pass ${pass.number} of ${page.passes.length}.` : '';
  const disputed = page.disputed.length > 0 ? ` Disputed, to be settled: ${page.disputed.join(', ')}.` : '';
  if (!page.next && disputed) return `${page.places.length} bolts${lie}. All were logged in every pass.${disputed}`;
  if (!page.next) return `${page.places.length} bolts${lie}. All are tight in every pass.`;
  return `${page.places.length} bolts${lie}.${which} Tight: ${those('tight')}. Next: ${page.next.place}. To do, in this order: ${those('to_do')}.${disputed}`;
}

/** For each bolt what was logged last, by number. */
export function lastOfEach(log: readonly TightenedLine[]): TightenedLine[] {
  const last = new Map<number, TightenedLine>();
  for (const line of log) last.set(line.place, line);
  return [...last.values()].sort((a, b) => a.place - b.place);
}
