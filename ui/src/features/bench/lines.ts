// How the numbers of an answer's lines are found by their keys. It rounds and reckons nothing.
import type { AnswerLine, AnswerValue } from '../../generated/wire';

/** The values of a line under a key; a key may stand several times. */
export function allOf(line: AnswerLine, key: string): AnswerValue[] {
  return line.values.filter((value) => value.key === key);
}

/** The first value of a line under a key. */
export function oneOf(line: AnswerLine, key: string): AnswerValue | undefined {
  return line.values.find((value) => value.key === key);
}

/** The number of a line under a key; nought where there is none. */
export function numberOf(line: AnswerLine, key: string): number {
  return oneOf(line, key)?.value ?? 0;
}
