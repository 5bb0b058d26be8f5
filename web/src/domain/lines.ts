// How the office works through proposed lines.
import type { Comparison, Finding, Line, Verdict } from '../api/types';

export interface LineRow {
  line: Line;
  before: string;
  after: string;
}

export function isOpen(line: Line): boolean {
  return line.state === 'proposed' || line.state === 'held_for_review' || line.state === 'estimate_open' || line.state === 'held';
}

/** One row for each line, with what its finding says of before and after. */
export function lineRows(comparison: Comparison): LineRow[] {
  return comparison.lines.map((line) => {
    const finding = comparison.findings.find((f) => f.key === line.key);
    return { line, before: finding?.before ?? '', after: finding?.after ?? '' };
  });
}

export function findingsWithoutLine(comparison: Comparison): Finding[] {
  return comparison.findings.filter((f) => !comparison.lines.some((l) => l.key === f.key));
}

/** Whether a verdict on this line needs words: all but accepting what is sound. */
export function needsReason(line: Line, verdict: Verdict): boolean {
  return verdict !== 'accept' || line.weakened_by.length > 0 || line.state === 'held_for_review';
}

/** Nothing can be accepted before somebody has said what it costs. */
export function canAccept(line: Line): boolean {
  return line.state !== 'no_baseline' && line.price != null;
}

/** The next line that waits for a decision, going round; the same index when none does. */
export function nextOpen(lines: readonly Line[], from: number): number {
  for (let step = 1; step <= lines.length; step += 1) {
    const at = (from + step) % lines.length;
    const line = lines[at];
    if (line && isOpen(line)) return at;
  }
  return from;
}
