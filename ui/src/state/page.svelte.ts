// A page: the answer to one query, asked again when a patch has a mark of what it was made of. Marks are the core's and are compared, never
// read. It never changes what it was given, and an answer that comes late never replaces a newer one.
import { untrack } from 'svelte';
import type { Patch } from '../generated/wire';
import { refused, type Args, type Name, type Refused, type Reply } from '../faces/face';
import { notebook, type Told } from './notebook.svelte';

/** Whether a patch may change what was made of these marks. A patch without marks may change anything that looked at something. */
export function touches(lookedAt: readonly string[] | null, patch: Patch, record: string): boolean {
  if (patch.record !== '' && record !== '' && patch.record !== record) return false;
  if (lookedAt === null) return true;
  if (patch.marks.length === 0) return lookedAt.length > 0;
  return patch.marks.some((mark) => lookedAt.includes(mark));
}

/** How many pages in sight show something else than the answer to what they are asked, or nothing yet. */
class Late {
  count = $state(0);
}

/** While it counts any, what is in sight may still be the page before. */
export const late = new Late();

/** The answer to a query, and how it stands. */
export class Page<T> {
  /** The newest answer. */
  value = $state.raw<T | null>(null);
  /** Whether there is an answer, which may be that there is nothing. */
  answered = $state(false);
  /** Why there is none. */
  trouble = $state.raw<Refused | null>(null);

  #lookedAt: readonly string[] | null = null;
  #ask: (() => Promise<Told<T>>) | null = null;
  #asked = 0;
  #busy = false;
  #again = false;
  /** Whether what it shows is not yet the answer to what it was asked last. */
  late = $state(false);
  readonly #beside: boolean;

  /** `beside`: it takes its time, and what stands around it is whole without it. */
  constructor(beside = false) {
    this.#beside = beside;
  }

  /** Asks something else from now on. */
  put(ask: () => Promise<Told<T>>): void {
    this.#ask = ask;
    this.#lookedAt = null;
    this.#asked += 1;
    this.#busy = false;
    this.#isLate(true);
    void this.#run();
  }

  /** Nobody looks at it any more: an answer that is under way is let go. */
  leave(): void {
    this.#ask = null;
    this.#asked += 1;
    this.#isLate(false);
  }

  /** Asks the same again where the patch may change the answer; one that is under way may have looked at what was changed. */
  heard(patch: Patch, record: string): void {
    if (touches(this.#busy ? null : this.#lookedAt, patch, record)) this.again();
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

  #isLate(is: boolean): void {
    if (is === this.late) return;
    this.late = is;
    if (!this.#beside) late.count += is ? 1 : -1;
  }

  async #run(): Promise<void> {
    const ask = this.#ask;
    if (!ask) return;
    const asked = this.#asked;
    this.#busy = true;
    this.#again = false;
    try {
      const { reply, lookedAt } = await ask();
      if (asked !== this.#asked) return;
      this.value = reply;
      this.#lookedAt = lookedAt;
      this.answered = true;
      this.trouble = null;
    } catch (thrown) {
      if (asked !== this.#asked) return;
      const trouble = refused(thrown);
      // It is said once, over every page, and this one is asked again by itself.
      this.trouble = trouble.code === 'catching_up' ? null : trouble;
      this.#lookedAt = null;
    }
    this.#isLate(false);
    this.#busy = false;
    if (this.#again) void this.#run();
  }
}

/** A page for the life of a component. `args` may read state; `null` asks nothing. `beside`: nothing in sight waits for it. */
export function pageOf<N extends Name>(name: N, args: () => Args<N> | null, how: 'beside' | null = null): Page<Reply<N>> {
  const page = new Page<Reply<N>>(how === 'beside');
  $effect(() => {
    const wanted = args();
    void notebook.record;
    untrack(() => {
      if (wanted !== null) page.put(() => notebook.ask(name, wanted));
    });
  });
  $effect(() => () => page.leave());
  $effect(() =>
    notebook.listen((patch) => {
      page.heard(patch, notebook.record);
    }),
  );
  return page;
}
