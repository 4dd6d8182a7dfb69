// A reading as a form holds it: one point with the same point measured again, or a grid of points; and how that becomes the
// record's fields. It reads no value: a unit chosen for all is only put behind what was typed without one.
import type { Given } from '../../shared/fields';

/** A grid as it is filled in: heights down, directions across, one unit for all that have none of their own. */
export type Grid = { rows: string[]; columns: string[]; cells: string[][]; unit: string };
/** What was measured: one point, the first value and those measured again; or a grid. */
export type Measured = { how: 'one' | 'grid'; values: string[]; grid: Grid };

/** The units that a grid's values can be given in. */
export const UNITS = { mm: 'mm', in: 'in', thou: 'thou', µm: 'µm' };

const BETWEEN = '; ';
const BETWEEN_ROWS = ' | ';
const text = (value: Given | undefined) => (typeof value === 'string' ? value : '');
const names = (list: string) => list.split(',').map((name) => name.trim());

/** A grid that nobody has filled in yet. */
export function emptyGrid(): Grid {
  return { rows: ['top', 'middle', 'bottom'], columns: ['across', 'along'], cells: Array.from({ length: 3 }, () => ['', '']), unit: 'mm' };
}

/** Where a unit begins in what was typed, if there is one. */
function unitOf(typed: string): string {
  return /[\p{L}"'″′°%”’].*$/u.exec(typed)?.[0].trim() ?? '';
}

/** What was typed, with a unit behind it where it has none. */
export function withUnit(typed: string, unit: string): string {
  const bare = typed.trim();
  return bare === '' || unit === '' || unitOf(bare) !== '' ? bare : `${bare} ${unit}`;
}

/** The form of what the record holds. */
export function measuredOf(was: Readonly<Record<string, Given | undefined>>): Measured {
  const kept = text(was['grid']);
  if (kept === '') {
    const again = text(was['again']);
    const values = [text(was['value']), ...(again === '' ? [] : again.split(BETWEEN))];
    return { how: 'one', values, grid: emptyGrid() };
  }
  const cells = kept.split(BETWEEN_ROWS).map((row) => row.split(BETWEEN));
  const [rows = '', columns = ''] = text(was['grid_names']).split(';');
  const named = (given: string, count: number, word: string) => {
    const found = given.trim() === '' ? [] : names(given);
    return Array.from({ length: count }, (_, at) => found[at] ?? `${word} ${at + 1}`);
  };
  const width = Math.max(1, ...cells.map((row) => row.length));
  return {
    how: 'grid',
    values: [''],
    grid: { rows: named(rows, cells.length, 'height'), columns: named(columns, width, 'direction'), cells, unit: 'mm' },
  };
}

/** The record's fields of what was measured; what the other way of measuring would fill is emptied. */
export function fieldsOfMeasured({ how, values, grid }: Measured): Record<'value' | 'again' | 'grid' | 'grid_names', string | null> {
  if (how === 'one') {
    const [first = '', ...rest] = values.map((value) => value.trim());
    const unit = unitOf(first);
    const again = rest.filter((value) => value !== '').map((value) => withUnit(value, unit));
    return { value: first || null, again: again.join(BETWEEN) || null, grid: null, grid_names: null };
  }
  // What parts the names must not be in one.
  const plain = (name: string) => name.replaceAll(/[,;]/g, ' ').replaceAll(/\s+/g, ' ').trim();
  return {
    value: null,
    again: null,
    grid: grid.cells.map((row) => row.map((cell) => withUnit(cell, grid.unit)).join(', ')).join(BETWEEN),
    grid_names: `${grid.rows.map(plain).join(', ')}; ${grid.columns.map(plain).join(', ')}`,
  };
}

/** What is still wanted before it can be kept, in words; nothing where all of it is there. */
export function lacking({ how, values, grid }: Measured): string {
  if (how === 'one') return (values[0] ?? '').trim() === '' ? 'reading' : '';
  for (const [at, row] of grid.cells.entries()) {
    const empty = row.findIndex((cell) => cell.trim() === '');
    if (empty >= 0) return `the point ${grid.rows[at] ?? ''} ${grid.columns[empty] ?? ''}`.replaceAll(/\s+/g, ' ');
  }
  return '';
}

/** The grid with one more height at the bottom, or without its last one. */
export function withRows(grid: Grid, count: number): Grid {
  const rows = Array.from({ length: count }, (_, at) => grid.rows[at] ?? `height ${at + 1}`);
  return { ...grid, rows, cells: rows.map((_, at) => grid.cells[at] ?? grid.columns.map(() => '')) };
}

/** The grid with one more direction at the right, or without its last one. */
export function withColumns(grid: Grid, count: number): Grid {
  const columns = Array.from({ length: count }, (_, at) => grid.columns[at] ?? `direction ${at + 1}`);
  return { ...grid, columns, cells: grid.cells.map((row) => columns.map((_, at) => row[at] ?? '')) };
}
