// The answer that is pinned under the thumb points to what stands above it, warnings and cautions alike.
import { describe, expect, it } from 'vitest';
import { render } from 'svelte/server';
import HeatFit from './drawings/HeatFit.svelte';
import { readFirst } from './minds';

const notes = (count: number) => Array.from({ length: count }, (_, at) => ({ key: `n${at}`, words: `Mind ${at}.` }));

describe('what is read before the number', () => {
  it('points to warnings before cautions, and to cautions where they are all', () => {
    expect(readFirst({ warnings: notes(1), cautions: notes(4) })).toEqual({ words: '1 warning: read it first', grave: true });
    expect(readFirst({ warnings: [], cautions: notes(2) })).toEqual({ words: '2 cautions: read them first', grave: false });
    expect(readFirst({ warnings: [], cautions: notes(1) })?.words).toBe('1 caution: read it first');
    expect(readFirst({ warnings: [], cautions: [] })).toBeNull();
  });
});

describe('the drawing of a heat fit', () => {
  it('heats on a plate, and with no flame', () => {
    const { body } = render(HeatFit, { props: { label: 'x' } });
    expect(body).toContain('hot plate');
    expect(body).not.toContain('-14-10-4-26');
  });
});
