// Pages: asked again when a patch touches what they show, never overtaken by an older answer, and never asked twice at once.
import { describe, expect, it } from 'vitest';
import { Refused } from '../faces/face';
import type { Told } from './notebook.svelte';
import { late, Page, touches } from './page.svelte';

const patch = (record: string, ...marks: string[]) => ({ record, touched: [], marks, points: false });

describe('touches', () => {
  const check = (lookedAt: string[] | null, one: ReturnType<typeof patch>, expected: boolean) => expect(touches(lookedAt, one, 'r1')).toBe(expected);
  it('what may have looked at anything', () => check(null, patch('r1', 'part:1'), true));
  it('another car', () => check(null, patch('r2', 'part:1'), false));
  it('a mark of it', () => check(['job', 'part:1'], patch('r1', 'part', 'part:1'), true));
  it('no mark of it', () => check(['job', 'part:2', 'part>assembly:1'], patch('r1', 'part', 'part:1', 'part>assembly:2'), false));
  it('the bench, never', () => check([], patch('r1'), false));
  it('a patch without marks may be anything', () => check(['job'], patch('r1'), true));
});

/** Answers that come when the test says so. */
function slow<T>() {
  const waiting: ((value: T, lookedAt?: string[]) => void)[] = [];
  const ask = () => new Promise<Told<T>>((done) => waiting.push((reply, lookedAt) => done({ reply, lookedAt: lookedAt ?? null })));
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

  it('asks again for what it looked at, and for anything while a question is under way', async () => {
    const page = new Page<number>();
    const { ask, waiting } = slow<number>();
    page.put(ask);
    page.heard(patch('r1', 'job:2'), 'r1');
    waiting[0]?.(1, ['job:1']);
    await settle();
    expect(waiting.length).toBe(2);
    waiting[1]?.(2, ['job:1']);
    await settle();
    page.heard(patch('r1', 'job:2'), 'r1');
    expect(waiting.length).toBe(2);
    page.heard(patch('r1', 'job:1'), 'r1');
    expect(waiting.length).toBe(3);
  });

  it('says why there is no answer, and forgets it with the next one', async () => {
    const page = new Page<number>();
    page.put(() => Promise.reject(new Refused('unknown', 'this record has no part')));
    await settle();
    expect(page.trouble?.code).toBe('unknown');
    page.put(() => Promise.resolve({ reply: 3, lookedAt: null }));
    await settle();
    expect(page.trouble).toBeNull();
    expect(page.value).toBe(3);
  });

  it('is late until it shows the answer to what it was asked last, or why there is none', async () => {
    const page = new Page<string>();
    const first = slow<string>();
    const second = slow<string>();
    expect(late.count).toBe(0);
    page.put(first.ask);
    page.put(second.ask);
    expect(late.count).toBe(1);
    first.waiting[0]?.('first');
    await settle();
    expect(late.count).toBe(1);
    second.waiting[0]?.('second');
    await settle();
    expect(late.count).toBe(0);
    // The same asked again is no other page.
    page.again();
    expect(late.count).toBe(0);
    page.put(() => Promise.reject(new Refused('unknown', 'this record has no part')));
    await settle();
    expect(late.count).toBe(0);
    // Left before it is answered, or beside the page: nothing waits for it.
    page.put(slow<string>().ask);
    page.leave();
    page.leave();
    new Page<string>(true).put(slow<string>().ask);
    expect(late.count).toBe(0);
  });
});
