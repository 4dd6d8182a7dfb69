// Drafts: kept until dropped, gone when empty, and no trouble where the shelf holds nonsense or forbids itself.
import { describe, expect, it } from 'vitest';
import { draftOf, dropDraft, keepDraft, type Shelf } from './drafts';

function shelf(): Shelf & { kept: Map<string, string> } {
  const kept = new Map<string, string>();
  return {
    kept,
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => void kept.set(key, value),
    removeItem: (key) => void kept.delete(key),
  };
}

describe('drafts', () => {
  it('come back', () => {
    const on = shelf();
    keepDraft('a', { text: 'half a note' }, on);
    expect(draftOf('a', on)).toEqual({ text: 'half a note' });
    expect(draftOf('b', on)).toBeNull();
  });
  it('go when dropped, and when empty', () => {
    const on = shelf();
    keepDraft('a', { text: 'x' }, on);
    dropDraft('a', on);
    keepDraft('b', { text: '' }, on);
    expect(on.kept.size).toBe(0);
  });
  it('nonsense is no draft', () => {
    const on = shelf();
    on.kept.set('witnessmark-draft:a', '{');
    on.kept.set('witnessmark-draft:b', '[1]');
    expect(draftOf('a', on)).toBeNull();
    expect(draftOf('b', on)).toBeNull();
  });
  it('a shelf that forbids itself loses nothing else', () => {
    const refuse = () => {
      throw new Error('forbidden');
    };
    const on: Shelf = { getItem: refuse, setItem: refuse, removeItem: refuse };
    keepDraft('a', { text: 'x' }, on);
    dropDraft('a', on);
    expect(draftOf('a', on)).toBeNull();
  });
});
