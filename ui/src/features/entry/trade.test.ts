// Trade words in a text.
import { expect, it } from 'vitest';
import { wordsIn } from './trade';

const pin = { names: ['gudgeon pin', 'wrist pin'], means: 'Joins the piston to its rod.' };
const petrol = { names: ['petrol', 'fuel'], means: 'What it burns.' };
const tank = { names: ['petrol tank', 'fuel tank'], means: 'What holds it.' };
const float = { names: ['run-out', 'runout'], means: 'How far it runs out of true.' };
const ALL = [petrol, pin, tank, float];

const check = (text: string, expected: unknown[]) => expect(wordsIn([text], ALL)).toEqual(expected);

it('finds a word by any of its names, many of it and at the head of a line', () => {
  check('Gudgeon pins worn.', [pin]);
  check('both wrist\npins', [pin]);
  check('Run out, 4 thou', [float]);
  check('run-out', [float]);
});
it('takes a longer name for itself, and each word once, as they are read', () => {
  check('The fuel tank, a gudgeon pin and the petrol tank', [tank, pin]);
  check('petrol in the petrol tank', [petrol, tank]);
});
it('finds none inside another word, and none where none are known', () => {
  check('petrolhead, fuelled', []);
  expect(wordsIn(['petrol'], [])).toEqual([]);
});
it('leaves what by itself as often means something else', () => {
  const axle = { names: ['stub axle', 'spindle'], means: 'What a front hub turns on.' };
  expect(wordsIn(['Layshaft spindle'], [axle])).toEqual([]);
  expect(wordsIn(['Stub axle, left'], [axle])).toEqual([axle]);
});
