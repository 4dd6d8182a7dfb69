// No cast stands between a page and the registry: what crosses is held against the types of the wire by the compiler, and only
// the faces, which take what another program answered, may say what it is. Tests may.
import { describe, expect, it } from 'vitest';

const SOURCES = import.meta.glob<string>(['../**/*.ts', '../**/*.svelte', '!../**/*.test.ts', '!../faces/**', '!../generated/**'], { query: '?raw', import: 'default', eager: true });
const CAST = /\bas (?:unknown|any|never|object|Args\b|Name\b)/;

/** The lines of a file that cast. */
const casts = (source: string) => source.split('\n').filter((line) => CAST.test(line.replace(/\/\/.*|\/?\*\*.*/, '')) && !/^\s*import\b/.test(line));

describe('casts', () => {
  it('there are files to look through', () => expect(Object.keys(SOURCES).length).toBeGreaterThan(100));
  it('the car’s form was kept by one', () => expect(casts("  await call(name, { fields } as unknown as Args<Name>);")).toHaveLength(1));
  it('none is left', () => {
    const found = Object.entries(SOURCES).flatMap(([file, source]) => casts(source).map((line) => `${file}: ${line.trim()}`));
    expect(found).toEqual([]);
  });
});
