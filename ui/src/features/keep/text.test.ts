// A kept answer as text: everything that was kept, and the other answer of today beside it.
import { describe, expect, it } from 'vitest';
import type { Answer, KeptPage } from '../../generated/wire';
import { asText } from './text';

const by = { keeper: null, name: 'Nell', pattern: 'plain', device: 'Phone', at: '2031-03-01T10:00:00Z' };
const line = { id: '1', what: 'Ring gap', calculation: 'ring_gap', about: { name: 'part:2', title: 'Top ring' }, answer: '0.305 mm', note: null, on: '2031-03-01', by, struck: null };
const page = (more: Partial<KeptPage>): KeptPage => ({ line, inputs: {}, told: ['Holds for road use'], now: { values: [{ text: '0.305 mm' }], verdicts: [] } as unknown as Answer, otherwise: false, ...more });

describe('as text', () => {
  it('as it was kept', () =>
    expect(asText(page({}), [{ words: 'the bore', typed: '3 in' }])).toBe(
      'Ring gap\n0.305 mm\nfor Top ring\n\nthe bore: 3 in\n\nHolds for road use\n\nKept by Nell, 1 March 2031',
    ));
  it('with what the bench says now', () =>
    expect(asText(page({ otherwise: true, now: { values: [{ text: '0.31 mm' }], verdicts: [] } as unknown as Answer }), [])).toContain(
      'The bench answers otherwise now: 0.31 mm',
    ));
  it('and where it says nothing any more', () => expect(asText(page({ now: null }), [])).toContain('otherwise now: no answer any more'));
});
