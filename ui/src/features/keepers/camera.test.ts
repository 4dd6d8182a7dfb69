// What is said when a camera shows nothing: each error of the standard has its words and a way on.
import { describe, expect, it } from 'vitest';
import { why } from './camera';

describe('why a camera shows nothing', () => {
  const check = (name: string, words: string) => {
    expect(why(name).words).toBe(words);
    expect(why(name).help).toMatch(/opy the ticket’s text instead/);
  };
  it('refused', () => check('NotAllowedError', 'This page is not allowed to use the camera.'));
  it('none', () => check('NotFoundError', 'This device has no camera that can be used.'));
  it('taken', () => check('NotReadableError', 'The camera gives no picture.'));
  it('anything else', () => check('TypeError', 'The camera cannot be used.'));
});
