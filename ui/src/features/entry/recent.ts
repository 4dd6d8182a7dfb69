// What was picked lately on this device, so that it stands first the next time. It never leaves the device.
import type { Option } from '../../shared/options';

const KEPT = 'witnessmark-recent:';
const MOST = 5;

/** Where it is kept: the browser's own storage, or anything with its shape. */
export type Shelf = Pick<Storage, 'getItem' | 'setItem'>;

function shelfOf(): Shelf | null {
  try {
    return localStorage;
  } catch {
    return null;
  }
}

/** What was picked lately from a list, the last first. */
export function recent(list: string, shelf: Shelf | null = shelfOf()): string[] {
  try {
    const kept: unknown = JSON.parse(shelf?.getItem(KEPT + list) ?? '[]');
    return Array.isArray(kept) ? kept.filter((one) => typeof one === 'string').slice(0, MOST) : [];
  } catch {
    return [];
  }
}

/** Remembers that this was picked. */
export function picked(list: string, value: string, shelf: Shelf | null = shelfOf()): void {
  if (value === '') return;
  try {
    shelf?.setItem(KEPT + list, JSON.stringify([value, ...recent(list, shelf).filter((one) => one !== value)].slice(0, MOST)));
  } catch {
    // A shelf that keeps nothing only leaves the list in its own order.
  }
}

/** The options with those picked lately first; each stands once. */
export function recentFirst(options: readonly Option[], lately: readonly string[]): Option[] {
  const first = lately.flatMap((value) => options.filter((option) => option.value === value));
  return [...first.map(({ value, label, group }) => ({ value, label, group: group ? `${group}, lately` : 'lately' })), ...options.filter((option) => !lately.includes(option.value))];
}
