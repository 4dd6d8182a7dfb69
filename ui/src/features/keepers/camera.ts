// Looks through the camera for one QR code (ISO/IEC 18004). The pages read it by themselves: a browser's own reader
// (BarcodeDetector, WICG Shape Detection) is missing on most. No picture leaves the page or is kept, and the camera is off
// as soon as it is found, given up or broken.

/** Between two looks, in milliseconds. */
const LOOK = 150;
/** The longer side of what is looked at, in pixels: a ticket's modules stay several pixels wide. */
const SIDE = 960;

/** Why a camera shows nothing, and what helps, by the name of the error (W3C Media Capture and Streams). */
export function why(name: string): { words: string; help: string } {
  const text = 'copy the ticket’s text instead, and paste it below.';
  switch (name) {
    case 'NotAllowedError':
    case 'SecurityError':
      return { words: 'This page is not allowed to use the camera.', help: `Allow it in the browser’s settings for this page and press once more; or ${text}` };
    case 'NotFoundError':
    case 'OverconstrainedError':
      return { words: 'This device has no camera that can be used.', help: text.replace(/^c/, 'C') };
    case 'NotReadableError':
    case 'AbortError':
      return { words: 'The camera gives no picture.', help: `Another program may be using it: close that and press once more; or ${text}` };
    default:
      return { words: 'The camera cannot be used.', help: text.replace(/^c/, 'C') };
  }
}

/** Whether there is a way to a camera at all. */
export const able = (): boolean => typeof navigator.mediaDevices?.getUserMedia === 'function';

/**
 * Shows the camera in `video` and looks until `wanted` takes what a code holds, or until `over` is aborted; that text, or
 * nothing when it was stopped. Rejects with what the camera or the browser threw.
 */
export async function look(video: HTMLVideoElement, wanted: (text: string) => boolean, over: AbortSignal): Promise<string | null> {
  let stream: MediaStream | null = null;
  // Also while the browser still asks the keeper, or the picture has not begun: the light goes out at once.
  const off = () => {
    for (const track of stream?.getTracks() ?? []) track.stop();
    video.srcObject = null;
  };
  try {
    const { decodeQR } = await import('qr/decode.js');
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: 'environment', width: { ideal: 1280 } } });
    over.addEventListener('abort', off);
    if (over.aborted) return null;
    let broken = false;
    for (const track of stream.getTracks()) track.addEventListener('ended', () => (broken = true));
    video.srcObject = stream;
    await video.play();
    const canvas = document.createElement('canvas');
    const pen = canvas.getContext('2d', { willReadFrequently: true });
    while (!over.aborted) {
      if (broken) throw new DOMException('the camera went away', 'NotReadableError');
      const text = pen && read(video, canvas, pen, decodeQR);
      if (text && wanted(text)) return text;
      await new Promise((done) => setTimeout(done, LOOK));
    }
    return null;
  } catch (thrown) {
    // Stopping it makes `play` fail too.
    if (over.aborted) return null;
    throw thrown;
  } finally {
    over.removeEventListener('abort', off);
    off();
  }
}

/** What the code in the picture of this moment holds; nothing while there is none. */
function read(
  video: HTMLVideoElement,
  canvas: HTMLCanvasElement,
  pen: CanvasRenderingContext2D,
  decode: (image: ImageData, options: { timeLimit: number }) => string,
): string | null {
  const [wide, high] = [video.videoWidth, video.videoHeight];
  if (wide === 0 || high === 0) return null;
  const less = Math.min(1, SIDE / Math.max(wide, high));
  canvas.width = Math.round(wide * less);
  canvas.height = Math.round(high * less);
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  try {
    return decode(pen.getImageData(0, 0, canvas.width, canvas.height), { timeLimit: 60 });
  } catch {
    // No code in it, or one that is not sharp: the next picture may have it.
    return null;
  }
}
