// Tabs over one stream, without a browser: a lock that one holds, and a channel that every other hears.
import { describe, expect, it } from 'vitest';
import type { Patch } from '../generated/wire';
import { shared, type Between, type Ears } from './stream';

const patch: Patch = { record: 'a', touched: ['job:1'], marks: ['job', 'job:1'], points: false };
const all: Patch = { record: '', touched: [], marks: [], points: true };

function browser() {
  type Channel = ReturnType<Between['channel']>;
  const channels = new Map<Channel, number>();
  const waiting: { tab: number; take: () => void }[] = [];
  const streams: { tab: number; ears: Ears }[] = [];
  let holder: number | null = null;
  const next = () => {
    const first = waiting.shift();
    holder = first?.tab ?? null;
    first?.take();
  };
  const tab = (number: number) => {
    const told: unknown[] = [];
    const between: Between = {
      channel: () => {
        const own: Channel = {
          onmessage: null,
          postMessage: (data) => {
            for (const other of channels.keys()) if (other !== own) other.onmessage?.({ data });
          },
        };
        channels.set(own, number);
        return own;
      },
      locks: {
        request: (_name, held) => {
          waiting.push({ tab: number, take: () => void held() });
          if (holder === null) next();
          return new Promise(() => {});
        },
      },
    };
    const ears = { patch: (said: Patch) => told.push(said), way: (open: boolean) => told.push(open) };
    shared('run', (ears) => streams.push({ tab: number, ears }), ears, between);
    return told;
  };
  const close = (number: number) => {
    for (const [channel, of] of channels) if (of === number) channels.delete(channel);
    if (holder === number) next();
  };
  return { tab, close, streams };
}

describe('tabs over one stream', () => {
  it('seven open one stream, and each hears what it brings', () => {
    const { tab, streams } = browser();
    const told = [1, 2, 3, 4, 5, 6, 7].map(tab);
    expect(streams.map((one) => one.tab)).toEqual([1]);
    streams[0]?.ears.way(true);
    streams[0]?.ears.patch(patch);
    for (const one of told) expect(one).toEqual([all, true, patch]);
  });
  it('one that comes later is told how the way stands', () => {
    const { tab, streams } = browser();
    tab(1);
    streams[0]?.ears.way(true);
    expect(tab(2)).toEqual([true]);
    streams[0]?.ears.way(false);
    expect(tab(3)).toEqual([false]);
  });
  it('when the one with the stream goes, another opens it, and everything shown is asked for again', () => {
    const { tab, close, streams } = browser();
    tab(1);
    const [second, third] = [tab(2), tab(3)];
    streams[0]?.ears.way(true);
    close(1);
    expect(streams.map((one) => one.tab)).toEqual([1, 2]);
    streams[1]?.ears.way(true);
    streams[1]?.ears.patch(patch);
    for (const one of [second, third]) expect(one).toEqual([all, true, all, true, patch]);
  });
  it('a browser that has neither opens one for each', () => {
    const told: unknown[] = [];
    let opened = 0;
    shared('run', (ears) => { opened += 1; ears.way(true); }, { patch: () => {}, way: (open) => told.push(open) }, null);
    expect([opened, told]).toEqual([1, [true]]);
  });
});
