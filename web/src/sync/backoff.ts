// How long to wait before the server is asked again.

const FIRST_MS = 2_000;
const LONGEST_MS = 60_000;

/**
 * Doubles with every failure, up to a minute, and is spread over its upper half so that many devices coming back into
 * a signal do not all ask at once. `random` is from 0 to 1.
 */
export function pauseAfter(failures: number, random: number): number {
  const full = Math.min(LONGEST_MS, FIRST_MS * 2 ** Math.max(0, failures - 1));
  return full * (0.5 + random / 2);
}
