// Words tables: an unknown word is shown as it is, and every kind, rule and choice of the wire has its words.
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
  check('AssemblyState', words.ASSEMBLY_STATE);
  check('Decision', words.DECISION);
  check('HowBad', words.HOW_BAD);
  check('JobState', words.JOB_STATE);
  check('Stage', words.STAGE);
  check('Condition', words.CONDITION);
  check('OrderState', words.ORDER_STATE);
  check('How', words.HOW);
  check('HoldState', words.HOLD_STATE);
  check('Pattern', words.PATTERN);
  check('Kind', words.KIND);
  check('Rule', words.RULE);
  it('a state is never pressed as closed', () => expect(Object.keys(words.ASSEMBLY_STATE_SAYS)).not.toContain('closed'));
});

describe('counted', () => {
  const check = (count: number, expected: string) => expect(words.counted(count, 'entry', 'entries')).toBe(expected);
  it('one', () => check(1, '1 entry'));
  it('none', () => check(0, '0 entries'));
  it('several', () => check(14, '14 entries'));
});

describe('cautions', () => {
  const check = (text: string, expected: string[]) => expect(words.cautions(text).map((caution) => caution.key)).toEqual(expected);
  it('brakes: law, and dust', () => check('Front brakes', ['brakes', 'dust']));
  it('fuel', () => check('Carburettor, fuel pump and tank', ['fuel']));
  it('none where nothing hurts', () => check('Ashtray', []));
  it('none twice', () => check('Front axle and king pins, front axle', ['lifting', 'brakes']));
});
