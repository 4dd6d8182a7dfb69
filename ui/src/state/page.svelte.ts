// A page: the answer to one query, asked again when a patch touches what it shows. It never changes what it was given,
// and an answer that comes late never replaces a newer one.
import { untrack } from 'svelte';
import type { Kind, Patch } from '../generated/wire';
import { refused, type Args, type Name, type Refused, type Reply } from '../faces/face';
import { notebook } from './notebook.svelte';

/** Which kinds a query's page shows; a query that is not here shows all of them. */
const SHOWS: Partial<Record<Name, readonly Kind[]>> = {
  records: ['car', 'keeper', 'device'],
  stores: ['container', 'part', 'order', 'assembly', 'photo', 'keeper', 'device'],
  folder: ['device'],
  // A point is told anew where anything changes that it names.
  points: ['settlement', 'keeper', 'device', 'photo'],
  tonight: ['finding', 'job', 'part', 'assembly', 'car', 'keeper', 'device', 'settlement'],
  calculations: [],
  reckon: [],
};

/** Those that show what is to be settled, which may be another though none of its kinds was touched. */
const ASKS: readonly Name[] = ['points', 'tonight'];

/** Whether a patch may change what a query's page shows. A patch that names nothing may change anything. */
export function touches(name: Name, patch: Patch, record: string): boolean {
  if (patch.record !== '' && record !== '' && patch.record !== record) return false;
  const shows = SHOWS[name];
  if (!shows) return true;
  if (shows.length === 0) return false;
  if (patch.points && ASKS.includes(name)) return true;
  if (patch.touched.length === 0) return true;
  return patch.touched.some((ref) => shows.includes(ref.slice(0, ref.indexOf(':')) as Kind));
}

/** The answer to a query, and how it stands. */
export class Page<T> {
  /** The newest answer. */
  value = $state.raw<T | null>(null);
  /** Whether there is an answer, which may be that there is nothing. */
  answered = $state(false);
  /** Why there is none. */
  trouble = $state.raw<Refused | null>(null);

  #ask: (() => Promise<T>) | null = null;
  #asked = 0;
  #busy = false;
  #again = false;

  /** Asks something else from now on. */
  put(ask: () => Promise<T>): void {
    this.#ask = ask;
    this.#asked += 1;
    this.#busy = false;
    void this.#run();
  }

  /** Asks the same again; while an answer is under way, once more after it. */
  again(): void {
    if (!this.#ask) return;
    if (this.#busy) {
      this.#again = true;
      return;
    }
    void this.#run();
  }

  async #run(): Promise<void> {
    const ask = this.#ask;
    if (!ask) return;
    const asked = this.#asked;
    this.#busy = true;
    this.#again = false;
    try {
      const value = await ask();
      if (asked !== this.#asked) return;
      this.value = value;
      this.answered = true;
      this.trouble = null;
    } catch (thrown) {
      if (asked !== this.#asked) return;
      this.trouble = refused(thrown);
    }
    this.#busy = false;
    if (this.#again) void this.#run();
  }
}

/** A page for the life of a component. `args` may read state; `null` asks nothing. */
export function pageOf<N extends Name>(name: N, args: () => Args<N> | null): Page<Reply<N>> {
  const page = new Page<Reply<N>>();
  $effect(() => {
    const wanted = args();
    void notebook.record;
    untrack(() => {
      if (wanted !== null) page.put(() => notebook.call(name, wanted));
    });
  });
  $effect(() =>
    notebook.listen((patch) => {
      if (touches(name, patch, notebook.record)) page.again();
    }),
  );
  return page;
}
