// The forms against the table of fields: what a keeper can enter is asked for by a form, or written down with the reason why
// not; and what fits no shape is told by its field before it is sent.
import { describe, expect, it } from 'vitest';
import { KINDS } from '../../generated/fields';
import type { Kind } from '../../generated/wire';
import { unfit } from './keeping';
import { askedOf, fieldsOf, hasForm, LEFT_OUT, NO_FORM } from './kinds';

const kinds = Object.keys(KINDS) as Kind[];

describe('every field of the table is in a form, or is left out with a reason', () => {
  for (const kind of kinds) {
    it(kind, () => {
      const all = Object.keys(KINDS[kind].fields);
      expect(all.length).toBeGreaterThan(0);
      if (!hasForm(kind)) {
        expect(NO_FORM[kind]).toMatch(/\w+ \w+/);
        return;
      }
      const left: Readonly<Record<string, string>> = LEFT_OUT[kind] ?? {};
      expect([...askedOf(kind), ...Object.keys(left)].sort()).toEqual([...all].sort());
      for (const why of Object.values(left)) expect(why).toMatch(/\w+ \w+/);
    });
  }
});

describe('what a form is made of', () => {
  it('label, shape and need are the table’s', () => {
    const [about, , bad] = fieldsOf('finding', { about: [{ value: 'car:car', label: 'The whole car' }] });
    expect(about).toMatchObject({ name: 'about', label: 'What it is about', shape: 'about', required: true, options: [{ value: 'car:car' }] });
    expect(bad).toMatchObject({ name: 'how_bad', required: false, words: { watch: 'watch it' } });
  });
  it('a form may want what the record could be without', () => {
    expect(KINDS.order.fields.state.required).toBe(false);
    expect(fieldsOf('order', {}).find((spec) => spec.name === 'state')).toMatchObject({ required: true });
  });
});

describe('what fits', () => {
  const check = (kind: Kind, typed: Parameters<typeof unfit>[1], expected: string | undefined) => expect(unfit(kind, typed)).toBe(expected);
  it('each shape', () => check('job', { what: 'Bleed', minutes: 40, after: ['a'], note: null }, undefined));
  it('a flag', () => check('part', { name: 'Washer', use_once: true }, undefined));
  it('what is no whole number', () => check('part', { name: 'Washer', quantity: 'four' }, 'quantity'));
  it('half a washer', () => check('part', { quantity: 0.5 }, 'quantity'));
  it('a field that the kind does not have', () => check('part', { minutes: 3 }, 'minutes'));
  it('one that every object has', () => check('part', { constructor: 'x' }, 'constructor'));
});
