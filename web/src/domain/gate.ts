// What still stands between an inspection and its signature, as the server will judge it, reckoned on the device.
import type { InspectionView, Leg, OpenKind, Template } from '../api/types';
import type { Deed } from './deeds';
import { problemPlace } from './places';
import { checkpointPhotos, lastEntry, stepsOf, viewpointPhoto } from './walk';

export interface Open {
  kind: OpenKind;
  key: string;
  /** Cannot be signed before this is done. Else it is a gap the comparison will name. */
  blocks: boolean;
}

export function openPoints(view: InspectionView, template: Template, conflicts: readonly string[] = []): Open[] {
  const open: Open[] = conflicts.map((key) => ({ kind: 'conflict', key, blocks: true }));
  if (view.handed_over_at === null && view.leg !== 'interim') open.push({ kind: 'handed_over', key: 'handed_over_at', blocks: view.leg === 'return' });
  for (const step of stepsOf(template, view.leg)) {
    if (step.kind === 'viewpoint') {
      if (!viewpointPhoto(view, step.key)) open.push({ kind: 'viewpoint', key: step.key, blocks: false });
    } else if (!lastEntry(view, step.key)) {
      open.push({ kind: step.kind, key: step.key, blocks: false });
    } else if (step.kind === 'checkpoint' && step.checkpoint.photo === 'required' && checkpointPhotos(view, step.key).length === 0) {
      open.push({ kind: 'photo', key: step.key, blocks: false });
    }
  }
  if (view.leg === 'departure') open.push(...openTopics(view));
  return [...open, ...openSignatures(view, view.leg)];
}

function openTopics(view: InspectionView): Open[] {
  return view.due_topics.flatMap((due): Open[] => {
    const record = view.briefings.find((b) => b.topic === due.topic);
    if (record?.overridden != null) return [];
    const shown = record?.shown_at ?? null;
    const acknowledged = record?.acknowledged_at ?? null;
    if (shown !== null && acknowledged !== null && Date.parse(shown) <= Date.parse(acknowledged)) return [];
    return [{ kind: 'briefing', key: due.topic, blocks: due.critical }];
  });
}

function openSignatures(view: InspectionView, leg: Leg): Open[] {
  const signed = (role: 'hirer' | 'staff') => view.signatures.some((s) => s.role === role);
  const absent = leg !== 'departure' && view.hirer_absent !== null;
  const open: Open[] = [];
  if (!signed('hirer') && !absent && leg !== 'interim') open.push({ kind: 'signature', key: 'hirer', blocks: true });
  if (!signed('staff')) open.push({ kind: 'signature', key: 'staff', blocks: true });
  return open;
}

/** A record the server refused: sealed past, it could only be lost. */
export interface Refused {
  id: string;
  kind: Deed['kind'];
  /** The question, viewpoint or topic it is about, where it is about one. */
  key: string | null;
  /** Where it is put right; null where it can only be recorded anew here, or let go. */
  place: string | null;
}

/** What was refused and stands before the signing. The refused signing itself is asked anew on its own screen. */
export function refusedPoints(inspection: string, refused: readonly { id: string; deed: Deed }[], viewpointOf: (mark: string) => string | undefined): Refused[] {
  return refused
    .filter((o) => o.deed.kind !== 'sign')
    .map(({ id, deed }): Refused => {
      const mark = markOf(deed);
      const viewpoint = mark === null ? undefined : viewpointOf(mark);
      if (viewpoint !== undefined) return { id, kind: deed.kind, key: viewpoint, place: `/inspections/${inspection}/marks/${encodeURIComponent(viewpoint)}` };
      const place = problemPlace(inspection, deed);
      const nowhere = [`/inspections/${inspection}`, `/inspections/${inspection}/sign`].includes(place);
      return { id, kind: deed.kind, key: keyOf(deed), place: nowhere ? null : place };
    });
}

/** The mark a deed is about and does not itself say the place of. */
function markOf(deed: Deed): string | null {
  switch (deed.kind) {
    case 'sighting':
    case 'sighting_removed':
      return deed.mark;
    case 'mark_removed':
      return deed.id;
    case 'photo':
      return deed.subject.of === 'mark' ? deed.subject.mark : null;
    default:
      return null;
  }
}

function keyOf(deed: Deed): string | null {
  switch (deed.kind) {
    case 'entry':
      return deed.input.checkpoint;
    case 'mark':
      return deed.input.viewpoint;
    case 'briefing':
      return deed.topic;
    case 'photo':
      return deed.subject.of === 'viewpoint' ? deed.subject.viewpoint : deed.subject.of === 'checkpoint' ? deed.subject.checkpoint : null;
    default:
      return null;
  }
}
