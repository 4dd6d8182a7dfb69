// Pairing as the pages follow it: one at a time, asked about while it goes on and somebody looks. It decides nothing and
// keeps no secret longer than the ticket is shown.
import { refused } from '../../faces/face';
import type { Pairs, PairTicket } from '../../generated/wire';
import { notebook } from '../../state/notebook.svelte';
import { goesOn, isSpoken } from './meeting';

/** Between two looks, in milliseconds: no patch tells of pairing. */
const LOOK = 500;

class Pairing {
  /** How it stands. */
  stands = $state.raw<Pairs | null>(null);
  /** The ticket that was opened from this page, with its picture. */
  ticket = $state.raw<PairTicket | null>(null);
  /** Why the last press did nothing. */
  trouble = $state('');
  /** Which press that was, so that it is said beside that button only. */
  pressed = $state<'open' | 'join' | 'word'>('open');
  busy = $state(false);
  /** Whether digits are followed that somebody read out, and no ticket. */
  spoken = $state(false);
  /** Whether the notebook did not answer at the last look. */
  silent = $state(false);

  /** Whether something is shown beside the first button. */
  get on(): boolean {
    return this.stands !== null && this.stands.state !== 'closed';
  }

  /** Whether this device follows what another shows. */
  get following(): boolean {
    return this.on && this.stands?.state !== 'open' && this.ticket === null;
  }

  #watchers = 0;
  /** Rises with every press and whenever something is put away: an answer to what was asked before says how it was, not how it is. */
  #era = 0;
  #looking = false;
  /** Whether it was stopped here, and the notebook has not said yet that it ended. */
  #ending = false;
  #done: ((stands: Pairs) => void) | null = null;

  /** Looks until the returned function is called; what goes on then is followed to its end all the same. */
  follow(): () => void {
    this.#watchers += 1;
    if (!this.#looking) {
      this.#looking = true;
      void this.#look();
    }
    return () => {
      this.#watchers -= 1;
    };
  }

  async #look(): Promise<void> {
    const era = this.#era;
    try {
      const now = await notebook.call('pair_code', {});
      this.silent = false;
      // What ended before this page looked is nobody's news.
      const before = this.stands?.state;
      if (this.#ending && !goesOn(now.state)) this.#ending = false;
      else if (this.#ending || era !== this.#era) {
        // The keeper stopped it, or pressed something while this was under way.
      } else if (before === undefined && !goesOn(now.state)) this.stands = { ...now, state: 'closed' };
      else if (before !== 'closed' || goesOn(now.state)) this.#show(now);
    } catch {
      // The first page has no line at the top that says so; this asks again.
      if (era === this.#era) this.silent = true;
    }
    if (this.#watchers > 0 || (this.stands && goesOn(this.stands.state))) setTimeout(() => void this.#look(), LOOK);
    else this.#looking = false;
  }

  #show(now: Pairs): void {
    this.stands = now;
    if (now.state !== 'paired') return;
    const done = this.#done;
    this.#done = null;
    done?.(now);
  }

  /** Shows a ticket, or digits to read out to somebody on the same network. */
  open(voice = false): Promise<void> {
    return this.#press('open', async () => {
      this.#done = null;
      this.#ending = false;
      this.ticket = await notebook.call('pair_open', voice ? { voice } : {});
      this.#show(await notebook.call('pair_code', {}));
    });
  }

  /** Follows a ticket that another device shows; `done` is told once it is paired, whoever still looks then. */
  join(ticket: string, keeper: string, device: string, done: (stands: Pairs) => void): Promise<void> {
    return this.#press('join', async () => {
      this.#ending = false;
      this.ticket = null;
      this.spoken = isSpoken(ticket);
      this.#done = done;
      const names = { ...(keeper ? { keeper } : {}), ...(device ? { device_name: device } : {}) };
      this.#show(await notebook.call('pair_join', { ticket, ...names }));
    });
  }

  /** The keeper's word on the digits. */
  confirm(yes: boolean): Promise<void> {
    return this.#press('word', async () => {
      this.#show(await notebook.call('pair_confirm', { yes }));
    });
  }

  /** Ends it, whatever it is at. */
  async stop(): Promise<void> {
    await this.#press('word', async () => {
      await notebook.call('pair_confirm', { yes: false });
      this.#ending = true;
    });
    this.trouble = '';
    this.leave();
  }

  /** Puts what came of it away. */
  leave(): void {
    this.#era += 1;
    this.ticket = null;
    if (this.stands) this.stands = { ...this.stands, state: 'closed' };
  }

  async #press(which: typeof this.pressed, work: () => Promise<void>): Promise<void> {
    this.busy = true;
    this.#era += 1;
    this.pressed = which;
    this.trouble = '';
    try {
      await work();
    } catch (thrown) {
      this.trouble = refused(thrown).message;
    } finally {
      this.#era += 1;
      this.busy = false;
    }
  }
}

/** The one pairing of the page. */
export const pairing = new Pairing();
