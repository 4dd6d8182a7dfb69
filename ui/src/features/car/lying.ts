// Where most parts of a list lie: said once over the list, and not in each of its lines.

/** The words that more than half of them have, where that is four or more; nothing where they lie about. */
export function whereMost(lies: readonly string[]): string {
  const counts = new Map<string, number>();
  for (const one of lies) if (one) counts.set(one, (counts.get(one) ?? 0) + 1);
  const [words, most] = [...counts].reduce((best, one) => (one[1] > best[1] ? one : best), ['', 0]);
  return most >= 4 && most * 2 > lies.length ? words : '';
}
