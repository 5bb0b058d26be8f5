import { describe, expect, it } from 'vitest';
import { advise, luma, sharpest } from './sharp';

const [width, height] = [256, 192];
const plane = (of: (x: number, y: number) => number) => Float32Array.from({ length: width * height }, (_, i) => of(i % width, Math.floor(i / width)));
const board = (x: number, y: number) => ((Math.floor(x / 16) + Math.floor(y / 16)) % 2 === 0 ? 60 : 190);

describe('sharp', () => {
  it('weighs colours as JPEG does', () => {
    expect([...luma(new Uint8ClampedArray([255, 0, 0, 255, 0, 255, 0, 255, 0, 0, 255, 255]))].map(Math.round)).toEqual([76, 150, 29]);
  });

  it('is the variance of the Laplacian: of a chequered floor of single pixels it is known', () => {
    // Every pixel differs from its four neighbours by 100: the Laplacian is 400 either way.
    expect(sharpest(plane((x, y) => ((x + y) % 2 === 0 ? 100 : 200)), width, height)).toBeCloseTo(160_000, 0);
    expect(sharpest(plane(() => 120), width, height)).toBe(0);
  });

  it('advises on focus, and on light before it', () => {
    expect(advise(plane(board), width, height)).toBe(null);
    const soft = plane((x, y) => 125 + 65 * Math.sin(x / 9) * Math.sin(y / 9));
    expect(advise(soft, width, height)).toBe('blurred');
    expect(advise(plane((x, y) => board(x, y) / 8), width, height)).toBe('too_dark');
    expect(advise(plane(() => 251), width, height)).toBe('too_bright');
  });
});
