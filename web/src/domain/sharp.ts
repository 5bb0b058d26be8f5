// Whether a photograph can be judged by, measured as the server measures it: advice for the person who can still take
// it again, never a refusal.

/** Long edge that pictures are measured at, so that the figures of two cameras can be compared. */
export const NORMAL_EDGE = 1024;
/** Side of the squares that sharpness is looked for in. */
const TILE = 64;
/** Variance of the Laplacian that the sharpest squares of a sharp picture exceed; the server's bar. */
const SHARP = 110;

export type Advice = 'blurred' | 'too_dark' | 'too_bright';

/** Grey levels from red, green, blue and opacity, with the weights of ITU-R BT.601. */
export function luma(rgba: Uint8ClampedArray): Float32Array {
  const out = new Float32Array(rgba.length / 4);
  for (let i = 0, p = 0; i < out.length; i += 1, p += 4) {
    out[i] = 0.299 * (rgba[p] ?? 0) + 0.587 * (rgba[p + 1] ?? 0) + 0.114 * (rgba[p + 2] ?? 0);
  }
  return out;
}

/** The four neighbours less four times the middle; the border mirrored without repeating its pixel. */
function laplacian(grey: Float32Array, width: number, height: number): Float32Array {
  const out = new Float32Array(grey.length);
  const mirror = (at: number, length: number) => (length === 1 ? 0 : at < 0 ? 1 : at >= length ? length - 2 : at);
  for (let y = 0; y < height; y += 1) {
    const above = mirror(y - 1, height) * width;
    const below = mirror(y + 1, height) * width;
    for (let x = 0; x < width; x += 1) {
      const row = y * width;
      const sides = (grey[row + mirror(x - 1, width)] ?? 0) + (grey[row + mirror(x + 1, width)] ?? 0);
      out[row + x] = sides + (grey[above + x] ?? 0) + (grey[below + x] ?? 0) - 4 * (grey[row + x] ?? 0);
    }
  }
  return out;
}

/** The 95th percentile of the variances of the squares of a picture, in squared grey levels. */
export function sharpest(grey: Float32Array, width: number, height: number): number {
  const edges = laplacian(grey, width, height);
  const variances: number[] = [];
  for (let top = 0; top < height; top += TILE) {
    for (let left = 0; left < width; left += TILE) {
      let [n, sum, squares] = [0, 0, 0];
      for (let y = top; y < Math.min(top + TILE, height); y += 1) {
        for (let x = left; x < Math.min(left + TILE, width); x += 1) {
          const value = edges[y * width + x] ?? 0;
          n += 1;
          sum += value;
          squares += value * value;
        }
      }
      variances.push(squares / n - (sum / n) ** 2);
    }
  }
  variances.sort((a, b) => a - b);
  return variances[Math.round(0.95 * (variances.length - 1))] ?? 0;
}

/** What to tell the person; null for a good picture. Light is what to see to first: in the dark everything is soft. */
export function advise(grey: Float32Array, width: number, height: number): Advice | null {
  let [sum, dark, bright] = [0, 0, 0];
  for (const value of grey) {
    sum += value;
    if (value < 12) dark += 1;
    if (value >= 250) bright += 1;
  }
  const n = Math.max(1, grey.length);
  if (sum / n < 45 || dark / n > 0.6) return 'too_dark';
  if (sum / n > 222 || bright / n > 0.4) return 'too_bright';
  return sharpest(grey, width, height) < SHARP ? 'blurred' : null;
}
