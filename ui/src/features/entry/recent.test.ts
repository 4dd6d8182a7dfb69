// Picked lately: the last first, each once, and the list's own order behind them.
import { describe, expect, it } from 'vitest';
import { picked, recent, recentFirst, type Shelf } from './recent';

function shelf(): Shelf {
  const kept = new Map<string, string>();
  return { getItem: (key) => kept.get(key) ?? null, setItem: (key, value) => void kept.set(key, value) };
}

describe('picked lately', () => {
  it('the last first, each once, five at most', () => {
    const on = shelf();
    for (const one of ['a', 'b', 'a', 'c', 'd', 'e', 'f']) picked('instrument', one, on);
    expect(recent('instrument', on)).toEqual(['f', 'e', 'd', 'c', 'a']);
    expect(recent('limit', on)).toEqual([]);
  });
  it('what is broken is nothing', () => expect(recent('x', { getItem: () => '{', setItem: () => {} })).toEqual([]));
  it('stands first in its list', () => {
    const options = [{ value: '1', label: 'one' }, { value: '2', label: 'two', depth: 2 }, { value: '3', label: 'three' }];
    expect(recentFirst(options, ['2', '9']).map((option) => [option.value, option.group])).toEqual([['2', 'lately'], ['1', undefined], ['3', undefined]]);
  });
});
