// One of several things that a field can name, and how many of them are worth showing. It knows no kind of thing.
export type Option = { value: string; label: string; depth?: number; group?: string };

/** What a picker can make new: a kind, and what one is called. */
export type Fresh = { kind: string; words: string };

/** The options whose label holds every word of what was typed, in their own order; at most `most` of them. */
export function matching(options: readonly Option[], typed: string, most = 60): { shown: Option[]; left: number } {
  const words = typed.toLocaleLowerCase().split(/\s+/).filter(Boolean);
  const found = options.filter((option) => {
    const text = `${option.group ?? ''} ${option.label}`.toLocaleLowerCase();
    return words.every((word) => text.includes(word));
  });
  return { shown: found.slice(0, most), left: Math.max(0, found.length - most) };
}
