// Lines that nothing speaks against, which may be accepted together.
import type { DisputeView, Line } from '../api/types';
import { isOpen } from './lines';

/** Proposed, priced, without a weak point, a missed briefing or a dispute. */
export function isSound(line: Line, disputed: ReadonlySet<string>): boolean {
  return line.state === 'proposed' && line.price != null && line.weak_points.length === 0 && line.weakened_by.length === 0 && !disputed.has(line.key);
}

/** Keys of lines whose dispute a decision would answer. */
export function disputedLines(disputes: readonly Pick<DisputeView, 'line' | 'outcome' | 'after_settlement'>[]): Set<string> {
  return new Set(disputes.filter((d) => d.outcome === null && !d.after_settlement).map((d) => d.line));
}

export function soundAndLeft(lines: readonly Line[], disputed: ReadonlySet<string>): { sound: Line[]; left: number } {
  const sound = lines.filter((l) => isSound(l, disputed));
  return { sound, left: lines.filter(isOpen).length - sound.length };
}
