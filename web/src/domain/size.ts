// Sizes of marks, in millimetres, and the tariff's bands they fall in.
import type { SizeBand } from '../api/types';

/** The band a size falls in: up to and including its upper end; the last has none. */
export function bandOf(bands: readonly SizeBand[], sizeMm: number): SizeBand | undefined {
  return bands.find((b) => b.up_to_mm == null || sizeMm <= b.up_to_mm);
}

/** Sizes that people can hold beside a mark, as a help to guess: widths of common things in mm. */
export const BESIDE_IT: readonly { key: 'fingertip' | 'bottle_cap' | 'card_edge' | 'hand_width'; mm: number }[] = [
  { key: 'fingertip', mm: 15 },
  { key: 'bottle_cap', mm: 30 },
  { key: 'card_edge', mm: 85 },
  { key: 'hand_width', mm: 100 },
];

export type SizeResult = { ok: true; mm: number } | { ok: false; fault: 'empty' | 'not_whole' | 'zero' | 'too_large' };

/** A typed size: whole millimetres, at least one, at most as long as a vehicle. */
export function parseSize(typed: string): SizeResult {
  const text = typed.trim();
  if (text === '') return { ok: false, fault: 'empty' };
  if (!/^\d{1,6}$/u.test(text)) return { ok: false, fault: 'not_whole' };
  const mm = Number(text);
  if (mm === 0) return { ok: false, fault: 'zero' };
  if (mm > 12_000) return { ok: false, fault: 'too_large' };
  return { ok: true, mm };
}

/** How a mark's size has changed since it was last seen. */
export function growth(before: number, now: number): 'same' | 'grown' | 'smaller' {
  return now > before ? 'grown' : now < before ? 'smaller' : 'same';
}

/** A place on a photograph (0 to 1) as the decimal the server keeps. */
export function placeText(share: number): string {
  const inside = Math.min(1, Math.max(0, share));
  return (Math.round(inside * 10_000) / 10_000).toString();
}

/** Long edge of a bank card in mm: ISO/IEC 7810, size ID-1. */
export const CARD_MM = 85.6;

export interface Point {
  x: number;
  y: number;
}

/** Length of a mark from something of known length beside it on the photograph, in whole mm; null while either is a point. */
export function measured(known: readonly [Point, Point], knownMm: number, mark: readonly [Point, Point]): number | null {
  const length = ([a, b]: readonly [Point, Point]) => Math.hypot(a.x - b.x, a.y - b.y);
  const [yardstick, across] = [length(known), length(mark)];
  if (yardstick === 0 || across === 0) return null;
  return Math.max(1, Math.round((across / yardstick) * knownMm));
}
