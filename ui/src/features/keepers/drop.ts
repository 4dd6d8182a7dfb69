// What is said of a drop in plain words: what the last look found and did, and what the next would. It reckons nothing.
import { size } from '../../format';
import type { DropSizes, DropTold } from '../../generated/wire';
import { counted } from '../../words';

/** What kind of place it is. */
export const PLACE = { folder: 'a folder', s3: 'a bucket (S3)', webdav: 'a WebDAV place' } as const;

/** What a look found and did, a line each; the first says what it brought. */
export function toldOf(told: DropTold): string[] {
  const came: string[] = [];
  if (told.changes > 0) came.push(counted(told.changes, 'entry', 'entries'));
  if (told.photos_fetched > 0) came.push(counted(told.photos_fetched, 'photo'));
  const lines = [came.length > 0 ? `It brought ${came.join(' and ')}.` : 'It brought nothing new.'];
  // Photos are files among the others.
  const photos = told.photos_put > 0 ? ` (of these ${counted(told.photos_put, 'photo')})` : '';
  if (told.written > 0) lines.push(`Left there: ${counted(told.written, 'file')}${photos}, ${size(told.bytes_written)}.`);
  if (told.photos_left > 0) lines.push(`${counted(told.photos_left, 'photo')} still to come.`);
  // What a device left that this one cannot know yet is never taken by looking alone.
  if (told.waiting > 0)
    lines.push(
      `${counted(told.waiting, 'file')} waits: for others to arrive, or for a device that is not known here yet. Where two have never met, pair them or carry a file from each to the other; a later look takes the rest.`.replace(/s waits/, 's wait'),
    );
  if (told.unfinished > 0) lines.push(`${counted(told.unfinished, 'file')} not whole yet; a later look takes it.`);
  if (told.not_for_me > 0) lines.push(`${counted(told.not_for_me, 'file')} not sealed to this device.`);
  if (told.aside > 0) lines.push(`${counted(told.aside, 'file')} of a device that is met no more: set aside.`);
  // What lies there is told as it was found, before anything was left.
  if (told.written > 0) lines.push(told.bytes_there > 0 ? `${size(told.bytes_there)} lay there before that.` : 'Nothing lay there before that.');
  else lines.push(told.bytes_there > 0 ? `${size(told.bytes_there)} lie there in all.` : 'Nothing lies there.');
  return lines;
}

/** What the next look would bring and leave, a line each. */
export function aheadOf(sizes: DropSizes): string[] {
  const bring = `It would bring ${counted(sizes.read, 'file')}, ${size(sizes.bytes_read)}`;
  const photos = sizes.photos_fetch > 0 ? `, and ${counted(sizes.photos_fetch, 'photo')}, ${size(sizes.bytes_fetch)}` : '';
  const leave = `It would leave ${counted(sizes.write, 'file')}, ${size(sizes.bytes_write)}`;
  const put = sizes.photos_put > 0 ? `, and ${counted(sizes.photos_put, 'photo')}, ${size(sizes.bytes_put)}` : '';
  const news = sizes.news_from.length > 0 ? [`News from ${sizes.news_from.join(', ')}.`] : [];
  return [`${bring}${photos}.`, `${leave}${put}.`, ...news];
}
