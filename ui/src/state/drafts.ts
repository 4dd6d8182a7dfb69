// What was typed and not yet kept in the record, so that a closed page or an empty battery loses none of it. It lives on
// this device only and goes when the form is kept or thrown away.
const BEFORE = 'witnessmark-draft:';

/** A draft: field values by name. */
export type Draft = Record<string, unknown>;

/** Where drafts are kept: the browser's own storage, or anything with its shape. */
export type Shelf = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;

function shelfOf(): Shelf | null {
  try {
    return localStorage;
  } catch {
    return null;
  }
}

/** The draft under a key, if there is one. */
export function draftOf(key: string, shelf: Shelf | null = shelfOf()): Draft | null {
  try {
    const kept: unknown = JSON.parse(shelf?.getItem(BEFORE + key) ?? 'null');
    return typeof kept === 'object' && kept !== null && !Array.isArray(kept) ? (kept as Draft) : null;
  } catch {
    return null;
  }
}

/** Keeps a draft; one with nothing in it is dropped. */
export function keepDraft(key: string, draft: Draft, shelf: Shelf | null = shelfOf()): void {
  try {
    if (Object.values(draft).every((value) => value === undefined || value === '')) shelf?.removeItem(BEFORE + key);
    else shelf?.setItem(BEFORE + key, JSON.stringify(draft));
  } catch {
    // A full or forbidden shelf loses the draft only when the page is closed.
  }
}

/** Drops a draft. */
export function dropDraft(key: string, shelf: Shelf | null = shelfOf()): void {
  try {
    shelf?.removeItem(BEFORE + key);
  } catch {
    // Nothing was kept, so nothing is to be dropped.
  }
}
