// What an entry says of a field, for whoever shows a few of them and not its page. The words are the core's.
import type { EntryPage } from '../../generated/wire';

/** What is shown of a field in words; empty where nothing is said of it. */
export function wordsOf(entry: Pick<EntryPage, 'said'> | null | undefined, field: string): string {
  return entry?.said.find((one) => one.field === field)?.values.map((value) => value.words).join(', ') ?? '';
}
