// One stream of patches for all tabs of a browser: it lends a page six connections to one address and no more, and a stream
// of each tab's own would use them up, so that a seventh tab never opened. One tab holds the stream and passes on what it
// hears; when it goes, another takes its place. It reads nothing of a patch.
import type { Patch } from '../generated/wire';

/** What whoever listens is told. */
export type Ears = {
  patch(patch: Patch): void;
  /** Whether patches come. */
  way(open: boolean): void;
};

/** What tabs say to one another: a patch, how the way stands, and the question how it stands, which a tab asks that comes. */
type Said = { patch: Patch } | { way: boolean } | { asks: true };

/** What of a browser this needs: as `BroadcastChannel`, and as `navigator.locks`. */
export type Between = {
  channel(name: string): { postMessage(said: Said): void; onmessage: ((event: { data: Said }) => void) | null };
  locks: { request(name: string, held: () => Promise<never>): Promise<unknown> };
};

/** Everything shown is to be asked for again. */
const ALL: Patch = { record: '', touched: [], marks: [], points: true };

/** The browser's own, where it has both. Each is of one address alone, which is one notebook's. */
export function between(): Between | null {
  if (typeof BroadcastChannel === 'undefined' || typeof navigator === 'undefined' || !navigator.locks) return null;
  return {
    channel: (name) => new BroadcastChannel(name) as unknown as ReturnType<Between['channel']>,
    locks: navigator.locks as unknown as Between['locks'],
  };
}

/** Listens for as long as this tab is there. `open` opens a stream; `name` is the run's own, since what another run says is nothing here. */
export function shared(name: string, open: (ears: Ears) => void, ears: Ears, tabs: Between | null): void {
  if (!tabs) {
    open(ears);
    return;
  }
  const channel = tabs.channel(name);
  let leads = false;
  let stands: boolean | null = null;
  const hear = (said: Said) => {
    if ('patch' in said) ears.patch(said.patch);
    else if ('way' in said) ears.way(said.way);
  };
  const pass = (said: Said) => {
    hear(said);
    channel.postMessage(said);
  };
  channel.onmessage = ({ data }) => {
    if (!('asks' in data)) hear(data);
    else if (leads && stands !== null) channel.postMessage({ way: stands });
  };
  channel.postMessage({ asks: true });
  // Held until this tab is gone; whoever waits next has it then.
  void tabs.locks.request(name, () => {
    leads = true;
    open({
      patch: (patch) => pass({ patch }),
      way: (way) => {
        // What came between one tab's stream and the next was told to nobody.
        if (way && stands === null) pass({ patch: ALL });
        stands = way;
        pass({ way });
      },
    });
    return new Promise<never>(() => {});
  });
}
