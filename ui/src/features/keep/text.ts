// A kept answer as plain text, to be sent to somebody: as it was kept, and what the bench says now where that is another.
import { shortDay } from '../../format';
import type { KeptPage } from '../../generated/wire';

/** All of it, a line each. */
export function asText(page: KeptPage, inputs: readonly { words: string; typed: string }[]): string {
  const { line } = page;
  const answer = page.now?.values[0]?.text ?? page.now?.verdicts[0]?.words ?? 'no answer any more';
  const now = page.otherwise || page.now === null ? answer : '';
  return [
    line.what,
    line.answer,
    ...(line.note ? [line.note] : []),
    ...(line.about ? [`for ${line.about.title}`] : []),
    '',
    ...inputs.map((input) => `${input.words}: ${input.typed}`),
    '',
    ...page.told,
    ...(now ? ['', `The bench answers otherwise now: ${now}`] : []),
    '',
    `Kept by ${line.by.name || 'the program'}${line.on ? `, ${shortDay(line.on)}` : ''}`,
  ].join('\n');
}
