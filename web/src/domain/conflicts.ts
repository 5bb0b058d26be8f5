// Two answers to one question, given on two devices that did not know of each other: both are kept, and a person
// chooses.
import type { Entry, InspectionView } from '../api/types';
import { heldEntries } from './held';

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
  return (heldEntries(view.entries).all.get(checkpoint) ?? []).map((e) => e.id);
}

/** The answers to a question that no other answer replaces. */
export function standing(view: Pick<InspectionView, 'entries'>, checkpoint: string): Entry[] {
  const { all, replaced } = heldEntries(view.entries);
  return (all.get(checkpoint) ?? []).filter((e) => !replaced.has(e.id));
}

/** The questions that have more than one answer standing. */
export function conflicts(view: Pick<InspectionView, 'entries'>): string[] {
  return [...heldEntries(view.entries).all.keys()].filter((checkpoint) => standing(view, checkpoint).length > 1);
}
