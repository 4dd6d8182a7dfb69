// Words tables: an unknown word is shown as it is, and every rule and choice of the wire has its words; what the table of fields says is found by kind and field.
import { describe, expect, it } from 'vitest';
import wire from './generated/wire.ts?raw';
import * as words from './words';

/** The words of a closed set, as the wire declares it. */
function wordsOf(type: string): string[] {
  const found = new RegExp(`export type ${type} = ([^;]+);`).exec(wire);
  return [...(found?.[1] ?? '').matchAll(/"([^"]+)"/g)].map((match) => match[1] ?? '');
}

describe('said', () => {
  const check = (word: string | null, expected: string) => expect(words.said(words.ORDER_STATE, word)).toBe(expected);
  it('says a known word', () => check('to_find', 'to find'));
  it('shows a word of a newer version as it is', () => check('held_in_customs', 'held in customs'));
  it('says nothing of nothing', () => check(null, ''));
  it('takes no word from what every object has', () => expect(words.said({}, 'constructor')).toBe('constructor'));
});

describe('every word that crosses has its words here', () => {
  const check = (type: string, table: Readonly<Record<string, string>>, except: string[] = []) =>
    it(type, () => {
      const declared = wordsOf(type);
      expect(declared.length).toBeGreaterThan(1);
      expect(declared.filter((word) => !except.includes(word)).sort()).toEqual(Object.keys(table).sort());
    });
  check('Rule', words.RULE);
  it('a state is never pressed as closed', () => expect(Object.keys(words.ASSEMBLY_STATE_SAYS)).not.toContain('closed'));
});

describe('the table of fields', () => {
  const label = (kind: string, field: string, expected: string) => expect(words.labelOf(kind, field)).toBe(expected);
  it('a label is its kind’s own', () => (label('finding', 'what', 'What was seen'), label('try', 'what', 'What was done')));
  it('an element of a set is called as its set', () => label('job', 'needs_parts:0190', 'Parts to have in hand'));
  it('a field of a newer version is shown as it is', () => label('part', 'heat_number', 'heat number'));
  it('takes no field from what every object has', () => label('part', 'constructor', 'constructor'));
  const word = (field: string, value: string, expected: string) => expect(words.wordOf('finding', field, value)).toBe(expected);
  it('a word of a closed set', () => word('how_bad', 'watch', 'watch it'));
  it('a value that is no word', () => word('what', 'watch', 'watch'));
});

describe('counted', () => {
  const check = (count: number, expected: string) => expect(words.counted(count, 'entry', 'entries')).toBe(expected);
  it('one', () => check(1, '1 entry'));
  it('none', () => check(0, '0 entries'));
  it('several', () => check(14, '14 entries'));
});
