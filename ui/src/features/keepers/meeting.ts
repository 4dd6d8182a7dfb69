// What is said of meetings in plain words: who is here, what is still to go across, why the last one ended. It reckons
// nothing: every number comes from the notebook.
import { moment, sinceWhen, size } from '../../format';
import type { MeetingsPage, MeetLine, MemberLine, PairState } from '../../generated/wire';
import { counted } from '../../words';

/** Whether the device is here. */
export const isHere = (line: MeetLine): boolean => line.phase !== 'away';

/** Whether something still goes across, so that the numbers change without a patch. */
export const isBusy = (line: MeetLine): boolean => line.phase === 'greeting' || line.phase === 'changes' || line.phase === 'photos';

/** Here, or when last met. */
export function presence(line: MeetLine, now = new Date()): string {
  if (isHere(line)) return line.since ? `here since ${sinceWhen(line.since, now)}` : 'here';
  return line.last_met ? `last met ${sinceWhen(line.last_met, now)}` : 'not met yet';
}

/** What goes across, or that both hold the same; nothing to say of a device that is away. */
export function across(line: MeetLine): string {
  const left: string[] = [];
  if (line.lacking_here > 0) left.push(`${counted(line.lacking_here, 'entry', 'entries')} still to come`);
  if (line.lacking_there > 0) left.push(`${counted(line.lacking_there, 'entry', 'entries')} still to go`);
  if (line.photos_left > 0) left.push(`${counted(line.photos_left, 'photo')} still to come`);
  switch (line.phase) {
    case 'away':
      return '';
    case 'greeting':
      return 'greeting each other';
    case 'changes':
      return left.length > 0 ? left.join(', ') : 'entries go across';
    case 'photos':
      return left.length > 0 ? `entries are across; ${left.join(', ')}` : 'entries are across; photos follow';
    case 'live':
      if (line.alike) return line.photos_left > 0 ? `same entries on both; ${left.join(', ')}` : 'both hold the same';
      return left.length > 0 ? left.join(', ') : 'comparing';
  }
}

/** Why the last meeting ended, as a sentence's second half. */
export function ending(line: MeetLine): string {
  return !isHere(line) && line.ended ? `it ended because ${line.ended.replace(/\.$/, '')}` : '';
}

/** Why nobody can be met now. */
export type NoMeeting = 'off' | 'this_no_more' | 'nobody_paired' | 'alone';

/** Why nobody can be met now; nothing where somebody can be looked for. Only a device whose key is known is ever dialled. */
export function noMeeting({ on }: Pick<MeetingsPage, 'on'>, members: readonly MemberLine[]): NoMeeting | null {
  if (members.some((one) => one.this && one.revoked !== null)) return 'this_no_more';
  const others = members.filter((one) => !one.this && one.revoked === null && one.unnamed !== false);
  if (others.length === 0) return 'alone';
  if (others.every((one) => one.key === null)) return 'nobody_paired';
  return on ? null : 'off';
}

/** `1:58` of the two minutes. */
export function left(seconds: number): string {
  const whole = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
}

/** Whether pairing goes on, so that it is to be asked about again. */
export const goesOn = (state: PairState): boolean => state !== 'closed' && state !== 'paired' && state !== 'ended';

/** A ticket as it was pasted: out of a message it may come broken over lines. */
export const ticketOf = (typed: string): string => typed.replaceAll(/\s+/g, '');

/** Whether a code's text is a ticket; the core judges what is in it. */
export const isTicket = (text: string): boolean => /^wm1-/i.test(text.trim());

/** Whether it is digits that a keeper reads out, with or without spaces between them. */
export const isSpoken = (ticket: string): boolean => /^[\d\s]+$/.test(ticket);

/** The modules of a QR code as one path; the quiet zone of four modules (ISO/IEC 18004) is left around it. */
export function modulesPath(rows: readonly (readonly boolean[])[]): string {
  const runs: string[] = [];
  for (const [y, row] of rows.entries()) {
    let from = -1;
    for (let x = 0; x <= row.length; x += 1) {
      const dark = row[x] === true;
      if (dark && from < 0) from = x;
      if (!dark && from >= 0) {
        runs.push(`M${from + QUIET} ${y + QUIET}h${x - from}v1h-${x - from}z`);
        from = -1;
      }
    }
  }
  return runs.join('');
}
/** Modules of light around a QR code. */
export const QUIET = 4;

/** A line of what was set aside: its moment as a person reads it, and none where the program itself laid something down. */
export function asideLine(words: string): string {
  const [, at, said] = /^(\d{4}-\d\d-\d\dT[\d:.]+Z): (.*)$/s.exec(words) ?? [];
  if (!at || !said) return words;
  return at.startsWith('1970-01-01') ? said : `${moment(at)}: ${said}`;
}

/** That more came from devices that are met no more than this device keeps of it. */
export function notKept(page: { most: number; not_kept: number; not_kept_last: string | null }): string {
  const more = page.not_kept === 1 ? 'one more came' : `more came ${page.not_kept} times`;
  const last = page.not_kept_last ? `, ${page.not_kept === 1 ? '' : 'the last '}${moment(page.not_kept_last)}` : '';
  return `Not all is here: at most ${page.most} files are kept of a car, and ${more}${last}. Of that nothing is kept.`;
}

/** What a carry file would hold, told before it is written. */
export function ahead(told: { changes: number; bytes_changes: number; photos: number; bytes_photos: number }, photos: boolean): string {
  const entries = `${counted(told.changes, 'entry', 'entries')}, ${size(told.bytes_changes)}`;
  if (!photos || told.photos === 0) return `${entries}; no photos`;
  return `${entries}; ${counted(told.photos, 'photo')}, ${size(told.bytes_photos)}`;
}
