// Whether a connection counts as paid, and that a change is told.
import { describe, expect, it } from 'vitest';
import { follow, metered, type Known } from './connection';

describe('a connection', () => {
  it('nothing is known where there is no API', () => expect(metered(undefined)).toBeNull());
  it('nor where it does not say', () => expect([metered({}), metered({ type: 'unknown' })]).toEqual([null, null]));
  it('by a phone network it is paid', () => expect(metered({ type: 'cellular' })).toBe(true));
  it('where the keeper saves data too', () => expect(metered({ type: 'wifi', saveData: true })).toBe(true));
  it('by Wi-Fi it is free', () => expect(metered({ type: 'wifi' })).toBe(false));
  it('is told at once and when it changes', () => {
    const known = Object.assign(new EventTarget(), { type: 'wifi' });
    const told: unknown[] = [];
    follow((what) => told.push(what.metered), known as Known);
    known.type = 'cellular';
    known.dispatchEvent(new Event('change'));
    expect(told).toEqual([false, true]);
  });
});
