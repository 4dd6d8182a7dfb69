// A camera that a test has not: what it would see, as a YUV4MPEG2 film (raw planes, 4:2:0), which Chromium plays in its
// stead. A code is shown as a hand would hold it: tilted, off the middle, grey on grey. It opens no device.
import { writeFile } from 'node:fs/promises';

const [WIDE, HIGH] = [640, 480];
/** How many pictures the film has; it begins again at its end. */
const PICTURES = 10;

/** Writes a film that shows one picture of `grey` bytes, `WIDE` by `HIGH`. */
async function film(file, grey) {
  const colour = Buffer.alloc((WIDE * HIGH) / 2, 128);
  const parts = [Buffer.from(`YUV4MPEG2 W${WIDE} H${HIGH} F10:1 Ip A1:1 C420jpeg\n`, 'latin1')];
  for (let at = 0; at < PICTURES; at += 1) parts.push(Buffer.from('FRAME\n', 'latin1'), grey, colour);
  await writeFile(file, Buffer.concat(parts));
  return file;
}

/** A film of an empty bench: grey, and nothing on it. */
export const emptyBench = (file) => film(file, Buffer.alloc(WIDE * HIGH, 150));

/** A film of what is drawn at `locator`; the browser's own PNG reader turns its picture into grey bytes. */
export async function filmOf(file, locator) {
  const png = await locator.screenshot();
  const text = await locator.page().evaluate(
    async ([bytes, wide, high]) => {
      const shown = await createImageBitmap(new Blob([Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0))], { type: 'image/png' }));
      const pen = new OffscreenCanvas(wide, high).getContext('2d');
      pen.fillStyle = '#969696';
      pen.fillRect(0, 0, wide, high);
      pen.translate(wide * 0.54, high * 0.48);
      pen.rotate(0.12);
      pen.globalAlpha = 0.85;
      const side = high * 0.78;
      pen.drawImage(shown, -side / 2, -side / 2, side, side);
      const { data } = pen.getImageData(0, 0, wide, high);
      let grey = '';
      // Rec. 601 luma, which a Y plane holds.
      for (let at = 0; at < data.length; at += 4) grey += String.fromCharCode(Math.round(0.299 * data[at] + 0.587 * data[at + 1] + 0.114 * data[at + 2]));
      return btoa(grey);
    },
    [png.toString('base64'), WIDE, HIGH],
  );
  return film(file, Buffer.from(text, 'base64'));
}

/** What makes Chromium play a film as its camera, and say yes or no where it would ask the keeper. */
export const playing = (file, allowed = true) => [
  '--use-fake-device-for-media-stream',
  `--use-fake-ui-for-media-stream${allowed ? '' : '=deny'}`,
  `--use-file-for-fake-video-capture=${file}`,
];
