// Levels of tanks: gauges in divisions and displays in per cent.
import type { Level } from '../api/types';

/** A fraction in lowest terms. */
export function lowest(part: number, of: number): { part: number; of: number } {
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
  const by = Math.max(1, gcd(part, of));
  return { part: part / by, of: of / by };
}

export interface GaugeStep {
  part: number;
  of: number;
  /** `empty`, `full`, or the fraction as written, such as `3/8`. */
  label: 'empty' | 'full' | `${number}/${number}`;
}

/** Every place the needle of a gauge with so many divisions can be read at, from empty to full. */
export function gaugeSteps(divisions: number): GaugeStep[] {
  if (!Number.isInteger(divisions) || divisions < 1) throw new Error('a gauge has at least one division');
  return Array.from({ length: divisions + 1 }, (_, part) => {
    const low = lowest(part, divisions);
    const label = part === 0 ? 'empty' : part === divisions ? 'full' : (`${low.part}/${low.of}` as const);
    return { part, of: divisions, label };
  });
}

/** How full, 0 to 1, for drawing only. */
export function levelShare(level: Level): number {
  if ('gauge' in level) return level.gauge.of === 0 ? 0 : level.gauge.part / level.gauge.of;
  return Number(level.percent.value) / 100;
}

export function sameLevel(a: Level, b: Level): boolean {
  if ('gauge' in a && 'gauge' in b) return a.gauge.part * b.gauge.of === b.gauge.part * a.gauge.of;
  if ('percent' in a && 'percent' in b) return a.percent.value === b.percent.value;
  return false;
}
