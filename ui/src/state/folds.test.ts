// How folds are remembered: by their page and their name, and not without end.
import { describe, expect, test } from 'vitest';
import { Folds } from './folds';

describe('a fold', () => {
  test('lies as it was left, on its own page only', () => {
    const folds = new Folds();
    expect(folds.of('engine', 'jobs done')).toBe(undefined);
    folds.put('engine', 'jobs done', true);
    expect(folds.of('engine', 'jobs done')).toBe(true);
    expect(folds.of('gearbox', 'jobs done')).toBe(undefined);
    folds.put('engine', 'jobs done', false);
    expect(folds.of('engine', 'jobs done')).toBe(false);
  });
  test('that was touched longest ago is forgotten first', () => {
    const folds = new Folds();
    folds.put('engine', 'first', true);
    folds.put('engine', 'second', true);
    for (let at = 0; at < 399; at += 1) {
      folds.put('engine', 'second', true);
      folds.put('bag', String(at), true);
    }
    expect(folds.of('engine', 'first')).toBe(undefined);
    expect(folds.of('engine', 'second')).toBe(true);
  });
});
