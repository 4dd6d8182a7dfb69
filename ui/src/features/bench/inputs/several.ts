// Several values as one line of text, and back: `0.24x2, 0.30, 0.36 mm` and `85.61, 85.56; 85.57, 85.54 mm`. It parts and joins
// texts and never reads a number: what a value is, the core says.

/** One value of a list as typed, and how many there are of it. */
export type Item = { text: string; count: number };
/** A list as typed: its values, and the unit that holds for all of them; empty where each has its own or none has. */
export type Listed = { items: Item[]; unit: string };
/** A grid as typed: rows of values, empty where nothing stands yet, and the unit that holds for all of them. */
export type Gridded = { rows: string[][]; unit: string };

/** What stands in the text where a value of a grid is still wanted; the core refuses it, so that nothing shifts into its place. */
const WANTED = '?';
const UNIT = /[\p{L}"'″′°%”’]/u;

/** Where a comma and a space, or commas between numbers that all have a point, part values. */
function parted(row: string): string[] {
  return row
    .split(/,(?=\s|$)/)
    .flatMap((piece) => {
      const parts = piece.split(',');
      return parts.length > 1 && parts.every((part) => part.includes('.')) ? parts : [piece];
    })
    .map((piece) => piece.trim());
}

/** A value's number and its unit, parted where the unit begins. */
function unitOf(text: string): { number: string; unit: string } {
  const at = text.search(UNIT);
  return at < 0 ? { number: text, unit: '' } : { number: text.slice(0, at).trim(), unit: text.slice(at).trim() };
}

/** The unit behind the last value, where no other has one, and the values without it. */
function shared(texts: string[]): { texts: string[]; unit: string } {
  const before = texts.slice(0, -1);
  const last = unitOf(texts.at(-1) ?? '');
  if (last.unit === '' || before.some((text) => UNIT.test(text))) return { texts, unit: '' };
  return { texts: [...before, last.number], unit: last.unit };
}

/** Puts the unit behind the last value, or behind each that has none where another has its own. */
function withUnit(texts: string[], unit: string): string[] {
  if (unit === '') return texts;
  const own = texts.some((text) => UNIT.test(text));
  return texts.map((text, at) => ((own ? !UNIT.test(text) : at === texts.length - 1) ? `${text} ${unit}` : text));
}

/** Parts a list's text into its values. */
export function splitList(text: string): Listed {
  const pieces = text.split(/[;\n\t]/).flatMap(parted).filter(Boolean);
  const items = pieces.map((piece) => {
    const found = /^(.*?)\s*[x×*]\s*(\d{1,2})(?!\d)\s*(.*)$/iu.exec(piece);
    if (!found) return { text: piece, count: 1 };
    const [, value = '', count = '1', unit = ''] = found;
    return { text: `${value} ${unit}`.trim(), count: Math.max(1, Number(count)) };
  });
  const { texts, unit } = shared(items.map((item) => item.text));
  return { items: items.map((item, at) => ({ ...item, text: texts[at] ?? item.text })), unit };
}

/** Joins a list's values into its text; empty ones are left out. */
export function joinList({ items, unit }: Listed): string {
  const given = items.filter((item) => item.text.trim() !== '');
  const texts = withUnit(given.map((item) => item.text.trim()), unit);
  return texts.map((text, at) => ((given[at]?.count ?? 1) > 1 ? `${text} ×${given[at]?.count}` : text)).join(', ');
}

/** Parts a grid's text into rows of one length; a table copied from elsewhere is parted too. */
export function splitGrid(text: string): Gridded {
  const rows = text
    .split(/[;\n]/)
    .map((row) => (row.includes('\t') ? row.split('\t').map((piece) => piece.trim()) : parted(row)))
    .filter((row) => row.some(Boolean))
    .map((row) => (row.at(-1) === '' ? row.slice(0, -1) : row));
  const { texts, unit } = shared(rows.flat());
  const wide = Math.max(0, ...rows.map((row) => row.length));
  let next = 0;
  const filled = rows.map((row) => row.map(() => texts[next++] ?? '').map((one) => (one === WANTED ? '' : one)));
  return { rows: filled.map((row) => [...row, ...Array<string>(wide - row.length).fill('')]), unit };
}

/** Joins rows into a grid's text. Rows and columns where nothing stands are left out; another empty place is marked as wanted. */
export function joinGrid({ rows, unit }: Gridded): string {
  const used = rows.filter((row) => row.some((text) => text.trim() !== ''));
  const columns = (rows[0] ?? []).map((_, column) => column).filter((column) => used.some((row) => (row[column] ?? '').trim() !== ''));
  const cells = used.map((row) => columns.map((column) => (row[column] ?? '').trim() || WANTED));
  const texts = withUnit(cells.flat(), unit);
  return cells.map((row, at) => texts.slice(at * row.length, (at + 1) * row.length).join(', ')).join('; ');
}

/** How many places of a grid's text are still wanted. */
export function wantedIn(text: string): number {
  return text.split(/[;,\n]/).filter((piece) => unitOf(piece.trim()).number === WANTED).length;
}
