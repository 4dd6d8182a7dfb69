// Trade words in what is written on a page: which of the known ones stand there, in the order in which they are read.
import type { Explained } from '../../generated/wire';

const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

/** Names that by themselves as often mean something else: a layshaft's spindle is no stub axle. */
const NOT_ALONE = new Set(['boot', 'chips', 'earth', 'extractor', 'fuel', 'ground', 'guide', 'heel', 'lifter', 'mains', 'rocker', 'shells', 'slipper', 'spacer', 'spindle', 'torch', 'trunk', 'turnings', 'wing', 'wobble']);

/** Each word that stands in the texts once, under whichever of its names, one or many of it. A longer name is not taken for a shorter one in it. */
export function wordsIn(texts: readonly string[], all: readonly Explained[]): Explained[] {
  if (all.length === 0) return [];
  const named = new Map(all.flatMap((word) => word.names.map((name) => [name.toLocaleLowerCase(), word] as const)).filter(([name]) => !NOT_ALONE.has(name)));
  const names = [...named.keys()].toSorted((a, b) => b.length - a.length);
  const spoken = new RegExp(`(?:^|[^\\p{L}\\p{N}])(${names.map((name) => escaped(name).replaceAll(/[ -]/g, '[\\s-]')).join('|')})(?:e?s)?(?![\\p{L}\\p{N}])`, 'giu');
  const found = new Set<Explained>();
  for (const text of texts) {
    for (const [, name = ''] of text.matchAll(spoken)) {
      const said = name.toLocaleLowerCase().replaceAll(/\s/g, ' ');
      const word = named.get(said) ?? named.get(said.replaceAll('-', ' ')) ?? named.get(said.replaceAll(' ', '-'));
      if (word) found.add(word);
    }
  }
  return [...found];
}
