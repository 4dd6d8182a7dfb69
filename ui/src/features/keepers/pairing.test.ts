// A pairing that was put away stays away: an answer that was under way meanwhile says how it was.
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Pairs } from '../../generated/wire';
import { notebook } from '../../state/notebook.svelte';
import { pairing } from './pairing.svelte';

const stands = (state: Pairs['state']): Pairs => ({ state, seconds: 100, tries: 3 }) as Pairs;
/** A notebook that tells these states one after the other, and the last of them from then on. */
const telling = (...states: Pairs['state'][]) =>
  vi.spyOn(notebook, 'call').mockImplementation((async (name: string) => {
    if (name !== 'pair_code') return name === 'pair_open' ? { ticket: '12345678', qr: [] } : {};
    return stands(states.length > 1 ? states.shift()! : states[0]!);
  }) as never);
const settled = () => new Promise((done) => setTimeout(done));

afterEach(() => vi.restoreAllMocks());

describe('a pairing', () => {
  it('does not come back by an answer to what was asked before it was stopped', async () => {
    let answer: (now: Pairs) => void = () => {};
    let asked = 0;
    vi.spyOn(notebook, 'call').mockImplementation((async (name: string) => {
      if (name !== 'pair_code') return name === 'pair_open' ? { ticket: '12345678', qr: [] } : {};
      asked += 1;
      // The second look is the one that is slow.
      return asked === 2 ? new Promise<Pairs>((done) => (answer = done)) : stands('open');
    }) as never);
    await pairing.open(true);
    expect(pairing.on).toBe(true);
    const unfollow = pairing.follow();
    unfollow();
    expect(asked).toBe(2);
    await pairing.stop();
    expect(pairing.on).toBe(false);
    answer(stands('open'));
    await settled();
    expect(pairing.on).toBe(false);
  });

  it('is over for the keeper who stopped it while the notebook is still ending it', async () => {
    vi.useFakeTimers();
    telling('open', 'open', 'open', 'ended');
    await pairing.open(true);
    const unfollow = pairing.follow();
    await vi.advanceTimersByTimeAsync(10);
    await pairing.stop();
    for (let look = 0; look < 4; look += 1) {
      await vi.advanceTimersByTimeAsync(500);
      expect(pairing.on).toBe(false);
    }
    unfollow();
    await vi.advanceTimersByTimeAsync(500);
    vi.useRealTimers();
  });

  it('that another opened since is shown', async () => {
    vi.useFakeTimers();
    telling('open', 'open', 'ended', 'open');
    await pairing.open(true);
    const unfollow = pairing.follow();
    await vi.advanceTimersByTimeAsync(10);
    await pairing.stop();
    await vi.advanceTimersByTimeAsync(1_600);
    expect(pairing.on).toBe(true);
    await pairing.stop();
    unfollow();
    vi.useRealTimers();
  });
});
