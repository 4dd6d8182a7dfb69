// The colours: ink on paper at least 10:1 in the workshop theme and 7:1 in the dark one. Formula: WCAG 2.2, relative
// luminance and contrast ratio. The asked ratios are the design's own.
import { describe, expect, it } from 'vitest';
import css from './app.css?raw';

type Tokens = Record<string, string>;

/** The tokens of each block that sets them: light, dark by the device, dark by choice. */
const blocks: Tokens[] = [...css.matchAll(/\{([^{}]*--paper:[^{}]*)\}/g)].map((block) =>
  Object.fromEntries([...(block[1] ?? '').matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map((token) => [token[1] ?? '', token[2] ?? ''])),
);

function luminance(colour: string): number {
  const part = (at: number) => {
    const c = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5);
}

function contrast(a: string, b: string): number {
  const [dark = 0, light = 0] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (light + 0.05) / (dark + 0.05);
}

/** What is read, and on what. */
const PAIRS: [string, string][] = [
  ['ink', 'paper'],
  ['ink', 'sheet'],
  ['ink', 'amber-wash'],
  ['ink-2', 'paper'],
  ['ink-2', 'sheet'],
  ['blue', 'paper'],
  ['blue', 'sheet'],
  ['on-blue', 'blue'],
  ['scribe', 'band'],
  ['danger', 'paper'],
];

describe('colours', () => {
  it('there are a light and two dark blocks, the dark ones alike', () => {
    expect(blocks.length).toBe(3);
    expect(blocks[2]).toEqual(blocks[1]);
  });
  it('the formula: black on white is 21:1', () => expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 5));
  const check = (theme: string, at: number, least: number) =>
    it(`${theme}: at least ${least}:1`, () => {
      const tokens = blocks[at] ?? {};
      const low = PAIRS.map(([on, under]) => ({ on, under, ratio: contrast(tokens[on] ?? '', tokens[under] ?? '') })).filter(({ ratio }) => !(ratio >= least));
      expect(low).toEqual([]);
    });
  check('workshop', 0, 10);
  check('dark', 1, 7);
});
