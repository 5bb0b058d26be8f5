/// <reference lib="webworker" />
// Scales photographs off the page's own thread, so that the screen goes on answering. What comes out holds the picture
// and nothing else: no place, no camera, no time.
import { sha256Hex } from '../domain/hash';
import { advise, luma, NORMAL_EDGE } from '../domain/sharp';
import type { ScaleAnswer, Scaled, ScaleRequest } from './scale';

// On a side of 5 m a millimetre is half a pixel: a scratch is still a line. The server's zoom is as large.
const LONGEST_EDGE = 2560;
/** WebP where the browser writes it: two thirds of the bytes at the same detail. */
const WAYS = [
  { type: 'image/webp', quality: 0.75 },
  { type: 'image/jpeg', quality: 0.8 },
];

/** Measured on a copy of a common size, so that the figures of two cameras can be compared. */
function judge(source: OffscreenCanvas): Scaled['advice'] {
  const by = Math.min(1, NORMAL_EDGE / Math.max(source.width, source.height));
  const small = new OffscreenCanvas(Math.max(1, Math.round(source.width * by)), Math.max(1, Math.round(source.height * by)));
  const context = small.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('this browser has no 2d canvas in workers');
  context.imageSmoothingQuality = 'high';
  context.drawImage(source, 0, 0, small.width, small.height);
  return advise(luma(context.getImageData(0, 0, small.width, small.height).data), small.width, small.height);
}

async function scale(file: Blob): Promise<Scaled> {
  // "from-image" turns the picture as its orientation note says; the scaled copy then needs no note.
  const bitmap = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const by = Math.min(1, LONGEST_EDGE / Math.max(bitmap.width, bitmap.height));
  const width = Math.max(1, Math.round(bitmap.width * by));
  const height = Math.max(1, Math.round(bitmap.height * by));
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d');
  if (!context) throw new Error('this browser has no 2d canvas in workers');
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, 0, 0, width, height);
  bitmap.close();
  const advice = judge(canvas);
  for (const way of WAYS) {
    const blob = await canvas.convertToBlob(way);
    // A browser that cannot write a type gives another one, and says so.
    if (blob.type === way.type) return { blob, width, height, sha256: await sha256Hex(await blob.arrayBuffer()), advice };
  }
  throw new Error('this browser writes neither WebP nor JPEG');
}

self.addEventListener('message', (event: MessageEvent<ScaleRequest>) => {
  const { id, file } = event.data;
  const answer = (a: ScaleAnswer) => self.postMessage(a);
  scale(file).then(
    (scaled) => answer({ id, ok: true, ...scaled }),
    (error: unknown) => answer({ id, ok: false, error: String(error) }),
  );
});
