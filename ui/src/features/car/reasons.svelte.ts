// Reasons to close over what stands in the way, as they are typed: by what they are for, where one of a sort serves all of it that wants none
// of its own. They are kept as a draft until it is closed. What a reason is worth the core says.
import { says } from '../../format';
import type { Blocker } from '../../generated/wire';
import { draftOf, dropDraft, keepDraft } from '../../state/drafts';
import { cameAfter, keyOf } from './stillOpen';

/** What the reason of a sort was written over, kept with the reasons. */
const over = (check: string) => `over ${check}`;

export class Reasons {
  whys = $state<Record<string, string>>({});
  waiving = $state<Record<string, boolean>>({});

  constructor(readonly draft: () => string) {
    this.whys = (draftOf(draft()) ?? {}) as Record<string, string>;
    this.waiving = Object.fromEntries(Object.keys(this.whys).map((key) => [key, true]));
  }

  /** Whether it came into the way after a reason for all of its sort was written. */
  late(blocker: Blocker): boolean {
    return !blocker.alone && cameAfter(blocker, this.whys[blocker.check], this.whys[over(blocker.check)]);
  }

  /** Whether it wants a reason of its own. */
  byItself(blocker: Blocker): boolean {
    return blocker.alone || this.late(blocker);
  }

  /** The reason that it is waived with; nothing where it is not. */
  of(blocker: Blocker): string | null {
    const key = this.byItself(blocker) ? keyOf(blocker) : blocker.check;
    return this.waiving[key] && says(this.whys[key]) ? (this.whys[key] ?? '').trim() : null;
  }

  /** Typed for `key`; `blockers` are all that stand in the way. */
  type(key: string, why: string, blockers: readonly Blocker[]): void {
    // Until it says something, it is about all that is in sight.
    const sort = blockers.filter((one) => one.check === key && !one.alone);
    if (sort.length > 0 && !says(this.whys[key])) this.whys[over(key)] = sort.map(keyOf).join('\n');
    this.whys[key] = why;
    keepDraft(this.draft(), $state.snapshot(this.whys));
  }

  /** It is closed: nothing of it is wanted any more. */
  clear(): void {
    dropDraft(this.draft());
    this.whys = {};
    this.waiving = {};
  }
}
