// Where the person is: a place, and one thing in it, kept in the address so that back works. It never holds data.
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

class Route {
  here = $state.raw<Where>({ place: 'day', thing: '', given: {} });

  /** Follows the address from now on. */
  follow(): void {
    const look = () => {
      this.here = read(location.hash);
    };
    window.addEventListener('hashchange', look);
    look();
  }

  /** Goes there. */
  go(address: string): void {
    location.hash = address;
  }
}

/** The one route of the page. */
export const route = new Route();
