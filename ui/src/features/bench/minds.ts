// What the answer under the thumb says of the warnings and cautions above it, which may be out of sight. It leaves none unsaid.
import type { Answer } from '../../generated/wire';
import { counted } from '../../words';

/** What to read before the number, counted: the warnings, or where there are none the cautions. Nothing where there is neither. */
export function readFirst(answer: Pick<Answer, 'warnings' | 'cautions'>): { words: string; grave: boolean } | null {
  const grave = answer.warnings.length > 0;
  const count = grave ? answer.warnings.length : answer.cautions.length;
  if (count === 0) return null;
  return { words: `${counted(count, grave ? 'warning' : 'caution')}: read ${count === 1 ? 'it' : 'them'} first`, grave };
}
