// A photo in a list, drawn without a browser: what stands in it when the original or even the small picture is not here.
import { createRawSnippet } from 'svelte';
import { render } from 'svelte/server';
import { describe, expect, it } from 'vitest';
import type { MissingPhoto } from '../generated/wire';
import PhotoTile from './PhotoTile.svelte';

const shown = { src: 'photo/ab/thumb', href: '#/photo', caption: 'The float bowl' };
const missing: MissingPhoto = { held_by: ["Jonna's phone"], small: true, asked: false, waits: true };
const fetch = createRawSnippet(() => ({ render: () => '<button>Fetch it</button>' }));
const drawn = (props: object) => render(PhotoTile, { props: { ...shown, ...props } }).body;

describe('a photo in a list', () => {
  it('that is here: the picture, and not a word of other devices', () => {
    const body = drawn({});
    expect(body).toContain('<img src="photo/ab/thumb" alt="The float bowl"');
    expect(body).not.toContain('device');
  });
  it('whose original is elsewhere: the small picture, who has it, and the button', () => {
    const body = drawn({ missing, fetch });
    expect(body).toContain('<img');
    expect(body).toContain("Not on this device. Jonna's phone has it.");
    expect(body).toContain('Fetch it');
  });
  it('of which nothing is here: no broken picture', () => {
    const body = drawn({ missing: { ...missing, small: false } });
    expect(body).not.toContain('<img');
    expect(body).toContain('no picture of it is on this device yet');
    expect(body).toContain("Jonna's phone has it.");
  });
  it('that is too large to be drawn: no broken picture, and that it is kept', () => {
    const body = drawn({ notDrawn: true });
    expect(body).not.toContain('<img');
    expect(body).toContain('kept whole; too large for a small picture');
  });
});
