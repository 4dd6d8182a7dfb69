// The order of parts along a shaft as it is being said; what is kept of it the notebook works out.
import type { Id, PartLine } from '../../generated/wire';

/** The row after one was moved a step; as it was where there is no such step. */
export function moved(row: readonly Id[], at: number, by: -1 | 1): readonly Id[] {
  const [one, other] = [row[at], row[at + by]];
  if (one === undefined || other === undefined) return row;
  return row.map((id, place) => (place === at ? other : place === at + by ? one : id));
}

/** What tells a part from others of its name: where it is, and which way round. */
export const called = (part: Pick<PartLine, 'name' | 'position' | 'way_round'>): string =>
  [part.name, part.position, part.way_round].filter(Boolean).join(', ');
