/// <reference lib="webworker" />
// Scales photographs off the page's own thread, so that the screen goes on answering.
import type { ScaleAnswer, ScaleRequest } from './scale';

const LONGEST_EDGE = 2048;
const QUALITY = 0.85;

async function scale(file: Blob): Promise<{ blob: Blob; width: number; height: number }> {
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
  return { blob: await canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY }), width, height };
}

self.addEventListener('message', (event: MessageEvent<ScaleRequest>) => {
  const { id, file } = event.data;
  const answer = (a: ScaleAnswer) => self.postMessage(a);
  scale(file).then(
    (scaled) => answer({ id, ok: true, ...scaled }),
    (error: unknown) => answer({ id, ok: false, error: String(error) }),
  );
});
