// A refusal to close, taken apart: what is in the way is a list, and is shown as one. Which things those are is the core's to say.
import type { Blocker } from '../../generated/wire';
import { refused } from '../../faces/face';
import { says } from '../../format';
import { counted } from '../../words';

/** What stands in the way of closing one assembly. */
export type InTheWay = { assembly: string; blockers: readonly Blocker[] };

/** What is in the way, where that is why it was refused. */
export function stillOpen(thrown: unknown): InTheWay | null {
  const { code, args } = refused(thrown);
  const { assembly, blockers } = args;
  if (code !== 'still_open' || !Array.isArray(blockers) || blockers.length === 0) return null;
  return { assembly: String(assembly), blockers: blockers as readonly Blocker[] };
}

/** One thing in the way by itself, among all of them. */
export const keyOf = (blocker: Blocker): string => [blocker.check, blocker.about, blocker.point ?? ''].join(' ');

/** Whether a thing came into the way after a reason for all of its sort was written: `over` lists what that was written over. Whoever
 *  wrote it did not know of it, so it wants a reason of its own. */
export const cameAfter = (blocker: Blocker, why: string | undefined, over: string | undefined): boolean =>
  over !== undefined && says(why) && !over.split('\n').includes(keyOf(blocker));

/** The refusal in one short sentence; the things themselves are listed under it. */
export const inShort = ({ assembly, blockers }: InTheWay): string => `${assembly} cannot close yet: ${counted(blockers.length, 'thing')} in the way.`;
