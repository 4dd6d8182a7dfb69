// Many of one part in one go: a position that counts, such as `cylinders 1-4`, as the positions that it stands for. It makes nothing; whoever
// shows it says what it would come to before anything is kept.

const MOST = 64;

/** One of what several are called: `valves` is valve, `brass` stays. */
export function single(word: string): string {
  return /[^sui]s$/i.test(word) && word.length > 3 ? word.slice(0, -1) : word;
}

/** The positions that a text stands for: `cylinders 1-4`, `valves 1 to 8`, `1, 2 and 3`, `left and right`; nothing for one place. */
export function positionsOf(text: string): string[] {
  const plain = text.trim().replace(/\s+/g, ' ');
  const both = /^(left|front|upper|inner) (?:and|&) (right|rear|lower|outer)$/i.exec(plain);
  if (both) return both.slice(1).map((one) => one.toLocaleLowerCase());
  const range = /^(\D*?)(\d{1,3})\s*(?:-|–|to)\s*(\d{1,3})$/i.exec(plain);
  if (range) {
    const [, lead = '', from = '', to = ''] = range;
    const [first, last] = [Number(from), Number(to)];
    if (last <= first || last - first >= MOST) return [];
    return Array.from({ length: last - first + 1 }, (_, at) => `${single(lead.trim())} ${first + at}`.trim());
  }
  const list = /^(\D*?)(\d{1,3}(?:\s*(?:,|and|&)\s*\d{1,3})+)$/i.exec(plain);
  if (list) {
    const numbers = (list[2] ?? '').split(/\s*(?:,|and|&)\s*/i);
    return new Set(numbers).size === numbers.length ? numbers.map((one) => `${single((list[1] ?? '').trim())} ${one}`.trim()) : [];
  }
  return [];
}
