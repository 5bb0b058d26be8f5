// The walk-round as a sequence of steps: at each stop first the photographs, then the questions, then the kit.
import type { Checkpoint, Entry, InspectionView, InventoryItem, Leg, PhotoView, Stop, Template, Viewpoint } from '../api/types';
import { heldEntries, heldPhotos } from './held';

export type Step = { key: string; stop: string; stopIndex: number } & (
  | { kind: 'viewpoint'; viewpoint: Viewpoint }
  | { kind: 'checkpoint'; checkpoint: Checkpoint }
  | { kind: 'item'; item: InventoryItem }
);

/** `missing_photo`: answered, but the template wants a photograph with it. */
export type StepState = 'open' | 'done' | 'missing_photo' | 'attention';

export interface StopSummary {
  stop: Stop;
  index: number;
  steps: Step[];
  left: number;
}

export function asked(checkpoint: Checkpoint, leg: Leg): boolean {
  return checkpoint.leg === undefined || checkpoint.leg === 'both' || checkpoint.leg === leg;
}

/** Every step of a leg, in walking order. */
export function stepsOf(template: Template, leg: Leg): Step[] {
  return template.stops.flatMap((stop, stopIndex) => [
    ...(stop.viewpoints ?? []).map((viewpoint): Step => ({ kind: 'viewpoint', key: viewpoint.key, stop: stop.key, stopIndex, viewpoint })),
    ...(stop.checkpoints ?? [])
      .filter((c) => asked(c, leg))
      .map((checkpoint): Step => ({ kind: 'checkpoint', key: checkpoint.key, stop: stop.key, stopIndex, checkpoint })),
    ...(stop.inventory ?? []).map((item): Step => ({ kind: 'item', key: item.key, stop: stop.key, stopIndex, item })),
  ]);
}

/** The last answer to a checkpoint or item: it is the one that counts. */
export function lastEntry(view: Pick<InspectionView, 'entries'>, key: string): Entry | undefined {
  return heldEntries(view.entries).last.get(key);
}

/** The newest photograph of a viewpoint. */
export function viewpointPhoto(view: Pick<InspectionView, 'photos'>, key: string): PhotoView | undefined {
  return heldPhotos(view.photos).viewpoint.get(key);
}

/** Photographs of a checkpoint: taken for it, or named by its answer. */
export function checkpointPhotos(view: Pick<InspectionView, 'photos' | 'entries'>, key: string): PhotoView[] {
  const { checkpoint, id } = heldPhotos(view.photos);
  const own = checkpoint.get(key) ?? [];
  const named = (lastEntry(view, key)?.photos ?? []).flatMap((photo) => id.get(photo) ?? []).filter((photo) => !own.includes(photo));
  return [...own, ...named];
}

export function stepState(step: Step, view: InspectionView): StepState {
  if (step.kind === 'viewpoint') return viewpointPhoto(view, step.key) ? 'done' : 'open';
  const entry = lastEntry(view, step.key);
  if (!entry) return 'open';
  if (step.kind === 'checkpoint' && step.checkpoint.photo === 'required' && checkpointPhotos(view, step.key).length === 0) {
    return 'missing_photo';
  }
  const { answer } = entry;
  if (answer.kind === 'condition' && answer.state !== 'in_order') return 'attention';
  if (answer.kind === 'count' && step.kind === 'item' && answer.pieces < step.item.pieces) return 'attention';
  return 'done';
}

export function isLeft(state: StepState): boolean {
  return state === 'open' || state === 'missing_photo';
}

/** The stops with their steps and how many of those are left. */
export function summarise(template: Template, leg: Leg, view: InspectionView): StopSummary[] {
  const steps = stepsOf(template, leg);
  return template.stops.map((stop, index) => {
    const own = steps.filter((s) => s.stopIndex === index);
    return { stop, index, steps: own, left: own.filter((s) => isLeft(stepState(s, view))).length };
  });
}

/** The next step that is left after a given one, going round to the start; null when none is. */
export function nextLeft(steps: readonly Step[], view: InspectionView, after: string | null): Step | null {
  const from = after === null ? -1 : steps.findIndex((s) => s.key === after);
  const round = [...steps.slice(from + 1), ...steps.slice(0, from + 1)];
  return round.find((s) => s.key !== after && isLeft(stepState(s, view))) ?? null;
}

/** The step before or after, whether answered or not. */
export function neighbour(steps: readonly Step[], key: string, by: 1 | -1): Step | null {
  const at = steps.findIndex((s) => s.key === key);
  return at === -1 ? null : (steps[at + by] ?? null);
}

/** Readings are read anew every time; only things looked at or counted may be taken over in one tap. */
export function mayTakeOver(entry: Entry): boolean {
  return ['condition', 'cassette', 'cleanliness', 'count', 'keys'].includes(entry.answer.kind);
}
