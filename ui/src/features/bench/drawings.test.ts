// Every calculation of the registry has its drawing, and every letter of its form is in it or cannot be shown. The registry is read
// where it is written, so that a new calculation or a new letter fails here until it is drawn.
import { describe, expect, it } from 'vitest';
import { render } from 'svelte/server';
import { DRAWINGS, labelOf } from './drawings';
import type { DescribedCalculation } from '../../generated/wire';

const sources = import.meta.glob<string>('../../../../crates/reckon/src/calculation/**/*.rs', { query: '?raw', import: 'default', eager: true });
const all = Object.entries(sources);

type Registered = { name: string; letters: string[]; written: number; read: number };

const DECLARED = /Calculation = Calculation \{\s+name: "([a-z_]+)"/;

/** What a file says with the parts of its room that declare no calculation of their own. */
function withItsRoom(path: string, text: string): string {
  const room = path.endsWith('/mod.rs') && !path.endsWith('calculation/mod.rs') ? path.slice(0, -'mod.rs'.length) : null;
  const parts = room === null ? [] : all.filter(([of, part]) => of !== path && of.startsWith(room) && !DECLARED.test(part));
  return [text, ...parts.map(([, part]) => part)].join('\n');
}

/** The calculations as their files declare them; `written` are the arguments in the file, `read` those that were understood. */
const registry: Registered[] = all.flatMap(([path, alone]) => {
  const name = DECLARED.exec(alone)?.[1];
  if (name === undefined) return [];
  const text = withItsRoom(path, alone);
  const direct = [...text.matchAll(/Argument::new\(\s*"[a-z_]+",\s*"([^"]*)"/g)].map(([, letter = '']) => letter);
  // Arguments that are alike are made by a function of the file, whose letter is its own or that of the call.
  const makers = [...text.matchAll(/const fn (\w+)\([^)]*\) -> Argument \{\s+Argument::new\(name, (?:"([^"]*)"|letter)/g)];
  const made = makers.flatMap(([, maker = '', own]) => {
    const calls = [...text.matchAll(new RegExp(`\\b${maker}\\(\\s*"[a-z_]+",\\s*"([^"]*)"`, 'g'))];
    return calls.map(([, letter = '']) => own ?? letter);
  });
  const letters = [...new Set([...direct, ...made].filter(Boolean))];
  return [{ name, letters, written: [...text.matchAll(/Argument::new\(/g)].length, read: direct.length + makers.length }];
});

/** The letters that a drawing shows, as it is drawn. */
function drawn(name: string): string[] {
  const drawing = DRAWINGS[name];
  if (!drawing) return [];
  const { body } = render(drawing.picture, { props: { label: 'x', variant: drawing.variant ?? '' } });
  return [...new Set([...body.matchAll(/data-letter="([^"]+)"/g)].map(([, letter = '']) => letter.replaceAll('&#39;', "'")))].sort();
}

const listed = /fn calculations\(\)[^{]*\{([\s\S]*?)\n\}/.exec(all.find(([path]) => path.endsWith('calculation/mod.rs'))?.[1] ?? '')?.[1] ?? '';

describe('the registry as it is read here', () => {
  it('is whole: as many as are listed', () => {
    expect(registry.length).toBe([...listed.matchAll(/::CALCULATION/g)].length);
    expect(registry.length).toBeGreaterThanOrEqual(36);
  });
  it('is understood: every argument that is written', () => {
    expect(registry.filter((one) => one.read !== one.written)).toEqual([]);
    expect(registry.reduce((sum, one) => sum + one.read, 0)).toBeGreaterThan(150);
  });
});

describe('every calculation is drawn', () => {
  it('and no other', () => expect(Object.keys(DRAWINGS).sort()).toEqual(registry.map((one) => one.name).sort()));
  for (const one of registry) {
    it(one.name, () => {
      const unseen = DRAWINGS[one.name]?.unseen ?? [];
      expect(unseen.filter((letter) => !one.letters.includes(letter)), 'exempt though the form has no such letter').toEqual([]);
      expect(drawn(one.name)).toEqual(one.letters.filter((letter) => !unseen.includes(letter)).sort());
    });
  }
});

describe('a drawing in words', () => {
  it('says what each of its letters measures, and nothing of those it cannot show', () => {
    const args = [
      { letter: 'B', words: 'the bore' },
      { letter: '', words: 'the use' },
      { letter: 'k', words: 'the gap as a part of the bore' },
    ] as DescribedCalculation['arguments'];
    expect(labelOf({ ...DRAWINGS['ring_gap']!, shows: 'A ring' }, args)).toBe('A ring; B: the bore');
  });
});
