// Of a bolt that is tightened otherwise, only what differs is sent; the run's own wrenches stand first.
import { describe, expect, it } from 'vitest';
import type { Named, TightenedLine } from '../../generated/wire';
import { otherwise, wrenches } from './otherwise';

const named = (id: string): Named => ({ name: `instrument:${id}`, title: id });
const next = { torque: '12.0 N·m' };

describe('what is sent for a bolt', () => {
  const check = (instrument: Named | null, said: { wrench: string; torque: string }, expected: object) =>
    expect(otherwise({ instrument }, next, said)).toEqual(expected);
  it('nothing where it is as the run says', () => check(named('long'), { wrench: 'long', torque: '12.0 N·m' }, {}));
  it('another wrench', () => check(named('long'), { wrench: 'short', torque: ' 12.0 N·m ' }, { instrument: 'short' }));
  it('another torque', () => check(named('long'), { wrench: 'long', torque: '15 N·m' }, { torque: '15 N·m' }));
  it('a wrench where the run has none', () => check(null, { wrench: 'short', torque: '15 N·m' }, { instrument: 'short', torque: '15 N·m' }));
  it('none where none is picked: the run’s own counts', () => check(named('long'), { wrench: '', torque: '' }, {}));
});

describe('what there is to pick from', () => {
  it('those of this run first', () => {
    const log = [{ instrument: named('short') }, { instrument: null }] as TightenedLine[];
    const options = wrenches([named('calliper'), named('long'), named('short')], { instrument: named('long'), log });
    expect(options.map((one) => one.value)).toEqual(['long', 'short', 'calliper']);
    expect(options.map((one) => one.group)).toEqual(['used in this run', 'used in this run', undefined]);
  });
});
