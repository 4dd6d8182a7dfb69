// Readings of one thing at several points, laid out together: what is the same of all is said once, beneath them. It judges nothing and
// rewords nothing; verdicts are the core's sentences, taken apart where they are joined.
import type { ReadingLine } from '../../generated/wire';

/** Readings that measure one thing; a lone one is a group of one. */
export type Group = { key: string; what: string; readings: ReadingLine[] };

/** Grouped by what was measured, in the order in which they come. Grids stand alone: each has a picture of its own. */
export function grouped(readings: readonly ReadingLine[]): Group[] {
  const groups = new Map<string, Group>();
  for (const reading of readings) {
    const key = reading.grid ? `grid ${reading.id}` : reading.what.toLocaleLowerCase();
    const group = groups.get(key);
    if (group) group.readings.push(reading);
    else groups.set(key, { key, what: reading.what, readings: [reading] });
  }
  return [...groups.values()];
}

const JOINT = '; ';

/** The sentences of a reading's verdicts, by the limit each is of. */
const sentences = (reading: ReadingLine) => reading.judged.flatMap((one) => one.verdict.words.split(JOINT));

/** What is the same in all of them: `said` once, and the limits that judged each. */
export function common(readings: readonly ReadingLine[]): { said: string[]; limits: string[] } {
  const inAll = (of: (reading: ReadingLine) => string[]) => {
    const [first, ...rest] = readings.map((reading) => new Set(of(reading)));
    return [...(first ?? [])].filter((one) => rest.every((other) => other.has(one)));
  };
  return { said: inAll(sentences), limits: inAll((reading) => reading.judged.map((one) => one.words)) };
}

/** What a reading's verdicts say beyond what is said of all. */
export function own(reading: ReadingLine, said: readonly string[]): string[] {
  return sentences(reading).filter((one) => !said.includes(one));
}

/** The value that all of them have, or nothing. */
export function sameOf<T>(readings: readonly ReadingLine[], of: (reading: ReadingLine) => T): T | null {
  const [first, ...rest] = readings.map(of);
  return first !== undefined && rest.every((one) => one === first) ? first : null;
}
