// An entry's fields as a form starts from them: one shown value each, and the elements of a set gathered. It never drops
// a contradiction: those are read from the entry itself.
import type { EntryPage } from '../../generated/wire';
import type { Given } from '../../shared/fields';

/** Shown values by field; a set field as the ids that are in it. */
export function valuesOf(entry: Pick<EntryPage, 'fields'>): Record<string, Given> {
  const values: Record<string, Given> = {};
  for (const [name, claims] of Object.entries(entry.fields)) {
    const value = claims?.[0]?.value ?? null;
    const at = name.indexOf(':');
    if (at < 0) {
      values[name] = value;
      continue;
    }
    const set = name.slice(0, at);
    const held = values[set];
    const members = Array.isArray(held) ? held : [];
    values[set] = value === true ? [...members, name.slice(at + 1)] : members;
  }
  return values;
}

/** A kept list or grid of measures as it was typed: values parted by commas, rows by a stroke. */
export function keptList(kept: string): string {
  const typed = (one: string) => one.split(' = ')[0] ?? one;
  return kept.split(' | ').map((row) => row.split('; ').map(typed).join(', ')).join(' / ');
}

/** The fields for which two different values stand. */
export function contradicted(entry: Pick<EntryPage, 'fields'>): string[] {
  return Object.entries(entry.fields)
    .filter(([, claims]) => (claims ?? []).some((claim) => claim.value !== claims?.[0]?.value))
    .map(([name]) => name);
}
