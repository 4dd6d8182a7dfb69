// The face: the one way from the pages to the notebook, whichever program they run in. It passes calls, bytes and
// patches on. It never reads what is in them, and never keeps anything.
import type { Answered, CarryOut, Commands, Id, Meeting, Patch, RecordLine, TakenPhoto } from '../generated/wire';

/** A command or query of the registry. */
export type Name = keyof Commands;
/** Its arguments. */
export type Args<N extends Name> = Commands[N]['args'];
/** Its reply. */
export type Reply<N extends Name> = Commands[N]['reply'];

/** What crosses on a call. */
export type Request = { record?: Id; name: string; args: object };

/** Why nothing was done: a code to branch on and one sentence that is ready to show. */
export class Refused extends Error {
  constructor(
    readonly code: string,
    words: string,
    readonly args: Record<string, unknown> = {},
  ) {
    super(words);
    this.name = 'Refused';
  }
}

/** Most bytes of a photo, as the notebook takes them. */
const MOST_PHOTO = 64 * 1024 * 1024;

/** A photo that is not too large to be sent to the notebook, which would refuse it in the middle. */
export function sendable(photo: Blob): Blob {
  if (photo.size <= MOST_PHOTO) return photo;
  throw new Refused('photo_too_large', `The photo has more than ${MOST_PHOTO} bytes; nothing was kept.`);
}

/** How a carry file is taken in: the passphrase that it is sealed to, and whether a newcomer who signed it is let in. */
export type Opening = { passphrase?: string; welcome?: boolean };

/** What each program that shows the pages offers. */
export interface Face {
  /** Calls the registry. Rejects with `Refused`. */
  call(request: Request): Promise<Answered>;
  /** Tells every patch from now on, and when the way to the notebook is lost or found again. */
  watch(patch: (patch: Patch) => void, way: (open: boolean) => void): void;
  /** Takes a photo's bytes as they are. */
  putPhoto(record: Id, bytes: Blob): Promise<TakenPhoto>;
  /** Takes a carry file's bytes. */
  carryIn(record: Id, bytes: Blob, how: Opening): Promise<Meeting>;
  /** Joins by a carry file's bytes, where the folder keeps no such car; with its passphrase, if it has one. The car that came. */
  join(bytes: Blob, keeper: string, device: string, passphrase: string | null): Promise<RecordLine>;
  /** Where a photo is to be had. */
  photo(record: Id, hash: string, size: 'thumb' | 'original'): string;
  /** Where a carry file can be fetched from; nothing where the file's path is what the person needs. */
  carryAddress(out: CarryOut): string | null;
}

/** Turns whatever was thrown into a refusal. */
export function refused(thrown: unknown): Refused {
  if (thrown instanceof Refused) return thrown;
  if (typeof thrown === 'object' && thrown !== null && 'code' in thrown) {
    const { code, words, text, args } = thrown as { code: unknown; words?: unknown; text?: unknown; args?: unknown };
    const said = typeof words === 'string' ? words : typeof text === 'string' ? text : String(code);
    return new Refused(String(code), said, (args ?? {}) as Record<string, unknown>);
  }
  return new Refused('broken', thrown instanceof Error ? thrown.message : String(thrown));
}
