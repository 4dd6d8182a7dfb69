// Pages: asked again when a patch touches what they show, never overtaken by an older answer, and never asked twice at once.
import { describe, expect, it } from 'vitest';
import { Refused } from '../faces/face';
import { Page, touches } from './page.svelte';

const patch = (record: string, ...touched: string[]) => ({ record, touched, points: false });

describe('touches', () => {
  const check = (name: Parameters<typeof touches>[0], one: ReturnType<typeof patch>, expected: boolean) =>
    expect(touches(name, one, 'r1')).toBe(expected);
  it('a page that shows everything', () => check('day', patch('r1', 'part:1'), true));
  it('another car', () => check('day', patch('r2', 'part:1'), false));
  it('stores and a part', () => check('stores', patch('r1', 'part:1'), true));
  it('stores and a finding', () => check('stores', patch('r1', 'finding:1'), false));
  it('points where they are others, and no others', () => {
    check('points', patch('r1', 'part:1'), false);
    check('points', { ...patch('r1', 'part:1'), points: true }, true);
  });
  it('the bench, never', () => check('calculations', patch('r1', 'part:1'), false));
  it('a patch that names nothing may be anything', () => check('stores', patch('r1'), true));
});

/** Answers that come when the test says so. */
function slow<T>() {
  const waiting: ((value: T) => void)[] = [];
  const ask = () => new Promise<T>((done) => waiting.push(done));
  return { ask, waiting };
}
const settle = () => new Promise((done) => setTimeout(done, 0));

describe('Page', () => {
  it('keeps the newest question’s answer, whichever comes last', async () => {
    const page = new Page<string>();
    const first = slow<string>();
    const second = slow<string>();
    page.put(first.ask);
    page.put(second.ask);
    second.waiting[0]?.('second');
    await settle();
    first.waiting[0]?.('first');
    await settle();
    expect(page.value).toBe('second');
  });

  it('asks once more, and only once, for many patches during one question', async () => {
    const page = new Page<number>();
    const { ask, waiting } = slow<number>();
    page.put(ask);
    page.again();
    page.again();
    page.again();
    expect(waiting.length).toBe(1);
    waiting[0]?.(1);
    await settle();
    expect(waiting.length).toBe(2);
    waiting[1]?.(2);
    await settle();
    expect(waiting.length).toBe(2);
    expect(page.value).toBe(2);
  });

  it('says why there is no answer, and forgets it with the next one', async () => {
    const page = new Page<number>();
    page.put(() => Promise.reject(new Refused('unknown', 'this record has no part')));
    await settle();
    expect(page.trouble?.code).toBe('unknown');
    page.put(() => Promise.resolve(3));
    await settle();
    expect(page.trouble).toBeNull();
    expect(page.value).toBe(3);
  });
});
