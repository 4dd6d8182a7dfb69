// What the window or the browser knows of the network: whether it is paid by what it carries (Network Information API,
// WICG draft; where a platform has none, nothing is known and nothing is claimed). It tells the notebook and decides nothing.
import type { Args } from './face';

/** The part of the API that is asked. */
export type Known = EventTarget & { readonly type?: string; readonly saveData?: boolean };

/** Whether a connection is paid by what it carries; nothing where that is not known. */
export function metered(known: Pick<Known, 'type' | 'saveData'> | undefined): boolean | null {
  if (!known) return null;
  if (known.saveData === true || known.type === 'cellular') return true;
  return known.type === undefined || known.type === 'unknown' ? null : false;
}

/** Tells now, and whenever it changes. */
export function follow(tell: (what: Args<'connection'>) => void, known = (navigator as { connection?: Known }).connection): void {
  const say = () => tell({ metered: metered(known) });
  known?.addEventListener?.('change', say);
  say();
}
