// The wall of a bore as it is drawn beside its numbers: further out where it is worn. It is a shape and no measure; verdicts and
// differences come from the core.

/** How far out a point is drawn, from 0 (the smallest of the grid) to 1 (the largest). */
export function bulge(base: number, least: number, most: number): number {
  return most > least ? (base - least) / (most - least) : 0;
}

/** How far in the wall stands where it is not worn, and where it is most, of a cell 100 wide. */
const IN = 14;
const OUT = 3;

/** Both faces beside one point of a column, in a cell of 100 × 60: from half-way to the point above to half-way to the one below. */
export function wallOf(worn: readonly number[], at: number): { left: string; right: string } {
  const here = worn[at] ?? 0;
  const above = (here + (worn[at - 1] ?? here)) / 2;
  const below = (here + (worn[at + 1] ?? here)) / 2;
  const x = (out: number) => Number((IN - (IN - OUT) * out).toFixed(2));
  const line = (of: (out: number) => number) => `M${of(above)} 0L${of(here)} 30L${of(below)} 60`;
  return { left: line(x), right: line((out) => Number((100 - x(out)).toFixed(2))) };
}
