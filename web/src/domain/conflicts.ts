// Two answers to one question, given on two devices that did not know of each other: both are kept, and a person
// chooses.
import type { Entry, InspectionView } from '../api/types';

/**
 * Everything an answer replaces: what its author saw, and whatever that replaced. Answers to other questions, or that
 * are not here, are left out.
 */
export function closure(known: readonly Entry[], checkpoint: string, seen: readonly string[]): string[] {
  const all = new Set<string>();
  for (const entry of known.filter((e) => e.checkpoint === checkpoint && seen.includes(e.id))) {
    all.add(entry.id);
    for (const older of entry.replaces ?? []) all.add(older);
  }
  return [...all].sort();
}

/** What somebody who answers now has before them. */
export function seenBy(view: Pick<InspectionView, 'entries'>, checkpoint: string): string[] {
  return view.entries.filter((e) => e.checkpoint === checkpoint).map((e) => e.id);
}

/** The answers to a question that no other answer replaces. */
export function standing(view: Pick<InspectionView, 'entries'>, checkpoint: string): Entry[] {
  const replaced = new Set(view.entries.flatMap((e) => e.replaces ?? []));
  return view.entries.filter((e) => e.checkpoint === checkpoint && !replaced.has(e.id));
}

/** The questions that have more than one answer standing. */
export function conflicts(view: Pick<InspectionView, 'entries'>): string[] {
  const asked = new Set(view.entries.map((e) => e.checkpoint));
  return [...asked].filter((checkpoint) => standing(view, checkpoint).length > 1);
}
