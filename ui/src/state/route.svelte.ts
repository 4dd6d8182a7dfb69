// Where the person is: a place, and one thing in it, kept in the address so that back works; and where they came from, how far down
// they were there. It never holds data.
import type { Ref } from '../generated/wire';
import { PLACES } from '../words';

/** One of the five places. */
export type Place = keyof typeof PLACES;
/** What an address brings along for a calculation's fields. */
export type Brought = Readonly<Record<string, string>>;
/** A place and what is open in it: a day, a reference, a calculation, a point; and what its fields start with. */
export type Where = { place: Place; thing: string; given: Brought };

const ALL = Object.keys(PLACES) as Place[];

/** Reads an address's fragment; anything unknown is the Day place. */
export function read(hash: string): Where {
  const [path = '', ...query] = hash.replace(/^#/, '').split('?');
  const [, name = '', ...rest] = path.split('/');
  const place = ALL.find((one) => one === name);
  let thing = rest.join('/');
  try {
    thing = decodeURIComponent(thing);
  } catch {
    thing = '';
  }
  if (!place) return { place: 'day', thing: '', given: {} };
  return { place, thing, given: Object.fromEntries(new URLSearchParams(query.join('?'))) };
}

/** The address of a place or of a thing in it. */
export function to(place: Place, thing = ''): string {
  return thing ? `#/${place}/${encodeURIComponent(thing).replaceAll('%3A', ':')}` : `#/${place}`;
}

/** The address of a calculation with its fields filled. */
export function toBench(calculation: string, given: Brought = {}): string {
  const query = new URLSearchParams({ ...given }).toString();
  return query ? `${to('bench', calculation)}?${query}` : to('bench', calculation);
}

/** The address of whatever is referred to. */
export function toRef(ref: Ref): string {
  const kind = ref.slice(0, ref.indexOf(':'));
  const id = ref.slice(kind.length + 1);
  switch (kind) {
    case 'car':
      return to('car');
    case 'sheet':
      return to('day', id.slice(0, 10));
    case 'container':
    case 'order':
      return to('stores', ref);
    case 'keeper':
    case 'device':
    case 'settlement':
      return to('keepers', ref);
    case 'instrument':
    case 'limit':
      return to('bench', ref);
    default:
      return to('car', ref);
  }
}

/** A page that was left: its address, and what it was called. */
export type Left = { address: string; title: string };

/** As many pages are remembered. */
const TRAIL = 60;
/** As much of a page's name stands on the way back to it. */
const LONG = 34;

/** What a page is called on the way back to it: the place, or its own heading. */
export function calledOnLeaving(where: Where, heading: string): string {
  if (!where.thing && where.place === 'car') return 'The car';
  if (!where.thing && where.place !== 'day') return PLACES[where.place];
  const words = heading.trim().replace(/\s+/g, ' ') || PLACES[where.place];
  return words.length > LONG ? `${words.slice(0, LONG - 1).trimEnd()}…` : words;
}

/** The trail after going from one page to another: one step shorter where that was the way back. */
export function onward(trail: readonly Left[], from: Left, next: string): { trail: Left[]; back: boolean } {
  if (next === from.address) return { trail: [...trail], back: false };
  if (trail.at(-1)?.address === next) return { trail: trail.slice(0, -1), back: true };
  return { trail: [...trail, from].slice(-TRAIL), back: false };
}

class Route {
  here = $state.raw<Where>({ place: 'day', thing: '', given: {} });
  /** The page that was left for this one; nothing where the program was opened here. */
  came = $state.raw<Left | null>(null);
  /** Whether this page was come back to. */
  returned = false;

  #address = '';
  #trail: Left[] = [];
  #down = new Map<string, readonly [number, number]>();

  /** Follows the address from now on. */
  follow(): void {
    const look = () => {
      const next = location.hash || to('day');
      if (this.#address) {
        const heading = document.querySelector('main h1')?.textContent ?? '';
        const { trail, back } = onward(this.#trail, { address: this.#address, title: calledOnLeaving(this.here, heading) }, next);
        this.#trail = trail;
        this.returned = back;
      }
      this.#address = next;
      this.came = this.#trail.at(-1) ?? null;
      this.here = read(location.hash);
    };
    window.addEventListener('hashchange', look);
    look();
  }

  /** Remembers how far down this page is. */
  scrolled(list: number, thing: number): void {
    this.#down.set(this.#address, [list, thing]);
  }

  /** How far down this page was, if it was come back to. */
  get left(): readonly [number, number] | null {
    return this.returned ? (this.#down.get(this.#address) ?? null) : null;
  }

  /** Goes there. */
  go(address: string): void {
    location.hash = address;
  }
}

/** The one route of the page. */
export const route = new Route();
