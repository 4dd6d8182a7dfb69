// The address: every place and thing goes out and comes back; what is unknown is the Day place.
import { describe, expect, it } from 'vitest';
import { calledOnLeaving, onward, read, to, toBench, toRef, type Place } from './route.svelte';

describe('there and back', () => {
  const check = (place: Place, thing: string) => expect(read(to(place, thing))).toEqual({ place, thing, given: {} });
  it('a place', () => check('stores', ''));
  it('a day', () => check('day', '2031-03-01'));
  it('a reference', () => check('car', 'assembly:0190-a'));
  it('a sheet', () => check('car', 'sheet:2031-03-01_0190'));
});

describe('addresses that nobody wrote', () => {
  const check = (hash: string) => expect(read(hash)).toEqual({ place: 'day', thing: '', given: {} });
  it('none', () => check(''));
  it('unknown', () => check('#/attic/x'));
  it('broken', () => check('#/day/%E0%A4%A'));
});

describe('a calculation with its fields filled', () => {
  const check = (given: Record<string, string>) =>
    expect(read(toBench('ring_gap', given))).toEqual({ place: 'bench', thing: 'ring_gap', given });
  it('none', () => check({}));
  it('one', () => check({ bore: '85.5 mm' }));
  it('signs that an address uses itself', () => check({ bore: '3 3/8 in', note: 'a&b=c?d#e%+ü' }));
});

describe('where a reference leads', () => {
  const check = (ref: string, expected: string) => expect(toRef(ref)).toBe(expected);
  it('assembly', () => check('assembly:1', '#/car/assembly:1'));
  it('sheet', () => check('sheet:2031-03-01_9', '#/day/2031-03-01'));
  it('order', () => check('order:1', '#/stores/order:1'));
  it('instrument', () => check('instrument:1', '#/bench/instrument:1'));
  it('kept answer', () => check('kept_answer:1', '#/car/kept_answer:1'));
  it('car', () => check('car:car', '#/car'));
});

describe('the trail', () => {
  const left = (address: string) => ({ address, title: address });
  it('grows with each page that is left', () => expect(onward([left('a')], left('b'), 'c')).toEqual({ trail: [left('a'), left('b')], back: false }));
  it('is one shorter after the way back', () => expect(onward([left('a'), left('b')], left('c'), 'b')).toEqual({ trail: [left('a')], back: true }));
  it('does not grow by staying', () => expect(onward([left('a')], left('b'), 'b')).toEqual({ trail: [left('a')], back: false }));
  it('forgets what lies far behind', () => {
    const long = Array.from({ length: 80 }, (_, at) => left(`${at}`));
    expect(onward(long, left('80'), 'x').trail).toHaveLength(60);
  });
});

describe('what a page is called on the way back', () => {
  const check = (place: Place, thing: string, heading: string, expected: string) => expect(calledOnLeaving({ place, thing, given: {} }, heading)).toBe(expected);
  it('the car', () => check('car', '', 'Aunt’s car', 'The car'));
  it('a place', () => check('stores', '', 'Stores', 'Stores'));
  it('a thing, by its heading', () => check('car', 'part:x', ' Layshaft\n  spindle ', 'Layshaft spindle'));
  it('a day', () => check('day', '', 'Today, Saturday 1 March', 'Today, Saturday 1 March'));
  it('a long one is cut', () => check('car', 'finding:x', 'A burr on the slot for the tab of the selector', 'A burr on the slot for the tab of…'));
});
