// What can be recorded on an inspection, each as an operation with the id it was given on this device. The view on
// the screen is what the server last said with the operations that are still on their way applied to it.
import { closure } from './conflicts';
import type { AddendumInput, BriefingInput, Entry, EntryInput, InspectionView, MarkInput, PhotoSubject, PhotoView, SightingInput, SignatureInput, SignatureRole, StartLeg } from '../api/types';

export type Deed =
  /** With the walk-round it was begun with: the vehicle may be given another one before the server hears of it. */
  | { kind: 'start'; hire: string; leg: StartLeg; template?: string }
  | { kind: 'entry'; id: string; input: EntryInput }
  | { kind: 'entry_removed'; id: string }
  | {
      kind: 'photo';
      id: string;
      subject: PhotoSubject;
      taken_at: string;
      sha256: string;
      bytes: number;
      width: number;
      height: number;
      content_type: string;
    }
  | { kind: 'photo_removed'; id: string }
  | { kind: 'mark'; id: string; input: MarkInput }
  | { kind: 'mark_removed'; id: string }
  | { kind: 'sighting'; mark: string; input: SightingInput }
  | { kind: 'sighting_removed'; mark: string }
  | { kind: 'briefing'; topic: string; input: BriefingInput }
  | { kind: 'handover'; at: string }
  | { kind: 'signature'; role: SignatureRole; input: SignatureInput }
  | { kind: 'absence'; reason: string; at: string }
  | { kind: 'sign'; device_time: string; record_sha256: string; record: unknown }
  /** To what is sealed: the only thing that can still be said. */
  | { kind: 'addendum'; id: string; input: AddendumInput & { written_at: string } };

/** A photograph as it comes out of the worker. */
export interface Taken {
  blob: Blob;
  width: number;
  height: number;
  sha256: string;
}

/** The deed that tells of a photograph; its bytes follow. */
export function photoDeed(id: string, subject: PhotoSubject, taken: Taken, at: Date): Deed {
  return {
    kind: 'photo',
    id,
    subject,
    taken_at: at.toISOString(),
    sha256: taken.sha256,
    bytes: taken.blob.size,
    width: taken.width,
    height: taken.height,
    content_type: taken.blob.type,
  };
}

/** What a deed is about: a later one on the same subject is shown at the same place. */
export function subjectOf(deed: Deed): string {
  switch (deed.kind) {
    case 'entry':
      return `answer:${deed.input.checkpoint}`;
    case 'entry_removed':
      return `entry:${deed.id}`;
    case 'photo':
      return deed.subject.of === 'viewpoint'
        ? `photo:${deed.subject.viewpoint}`
        : deed.subject.of === 'checkpoint'
          ? `answer:${deed.subject.checkpoint}`
          : `mark:${deed.subject.mark}`;
    case 'photo_removed':
      return `photo:${deed.id}`;
    case 'mark':
    case 'mark_removed':
      return `mark:${deed.id}`;
    case 'sighting':
    case 'sighting_removed':
      return `mark:${deed.mark}`;
    case 'briefing':
      return `briefing:${deed.topic}`;
    case 'handover':
      return 'handover';
    case 'signature':
      return `signature:${deed.role}`;
    case 'absence':
      return 'absence';
    case 'addendum':
      return `addendum:${deed.id}`;
    case 'sign':
    case 'start':
      return deed.kind;
  }
}

function put<T>(list: readonly T[], item: T, same: (a: T) => boolean): T[] {
  return list.some(same) ? list.map((x) => (same(x) ? item : x)) : [...list, item];
}

/** The view with one deed done. Never changes what it is given. */
export function apply(view: InspectionView, deed: Deed): InspectionView {
  switch (deed.kind) {
    case 'start':
      return view;
    case 'entry': {
      const { replaces, ...input } = deed.input;
      const seen = closure(view.entries, input.checkpoint, replaces ?? []);
      const entry: Entry = { ...input, id: deed.id, recorded_at: input.recorded_at ?? view.started_at, ...(seen.length > 0 ? { replaces: seen } : {}) };
      return { ...view, entries: put(view.entries, entry, (e) => e.id === deed.id) };
    }
    case 'entry_removed':
      return { ...view, entries: view.entries.filter((e) => e.id !== deed.id) };
    case 'photo': {
      const photo: PhotoView = {
        id: deed.id,
        sha256: deed.sha256,
        subject: deed.subject,
        taken_at: deed.taken_at,
        received_at: deed.taken_at,
        width: deed.width,
        height: deed.height,
        bytes: deed.bytes,
        arrived: false,
        processing: 'waiting',
        facts: null,
        repeats: [],
      };
      return { ...view, photos: put(view.photos, photo, (p) => p.id === deed.id) };
    }
    case 'photo_removed':
      return { ...view, photos: view.photos.filter((p) => p.id !== deed.id) };
    case 'mark': {
      const mark = { ...deed.input, id: deed.id, first_seen: view.id };
      return { ...view, marks: put(view.marks, mark, (m) => m.id === deed.id) };
    }
    case 'mark_removed':
      return { ...view, marks: view.marks.filter((m) => m.id !== deed.id) };
    case 'sighting':
      return { ...view, sightings: put(view.sightings, { ...deed.input, mark: deed.mark }, (s) => s.mark === deed.mark) };
    case 'sighting_removed':
      return { ...view, sightings: view.sightings.filter((s) => s.mark !== deed.mark) };
    case 'briefing':
      return applyBriefing(view, deed.topic, deed.input);
    case 'handover':
      return { ...view, handed_over_at: deed.at };
    case 'signature': {
      const signature = { role: deed.role, name: deed.input.name, signed_at: deed.input.signed_at, strokes_sha256: '', record_sha256: deed.input.record_sha256 ?? null };
      return { ...view, signatures: put(view.signatures, signature, (s) => s.role === deed.role) };
    }
    case 'absence':
      return { ...view, hirer_absent: { reason: deed.reason, noted_at: deed.at } };
    case 'sign':
      return { ...view, status: 'signed', signed_at: deed.device_time, open_points: [] };
    case 'addendum': {
      const { words, photos, written_at } = deed.input;
      // Without a seal of its own until the server has it.
      const added = { id: deed.id, words, photos: photos ?? [], written_at, written_by: '', received_at: written_at, document: '', sha256: '', signature: '', key_id: '', public_key: '' };
      return { ...view, addenda: put(view.addenda, added, (a) => a.id === deed.id) };
    }
  }
}

/** The record of a topic is put as a whole, as the server puts it. */
function applyBriefing(view: InspectionView, topic: string, input: BriefingInput): InspectionView {
  const record = {
    topic,
    ...(input.shown_at == null ? {} : { shown_at: input.shown_at }),
    ...(input.acknowledged_at == null ? {} : { acknowledged_at: input.acknowledged_at }),
    ...(input.override == null ? {} : { overridden: { reason: input.override.reason, at: input.shown_at ?? view.started_at } }),
  };
  return { ...view, briefings: put(view.briefings, record, (b) => b.topic === topic) };
}

/** Whether a topic still waits for the hirer or for a reason why not. */
export function topicOpen(view: InspectionView, topic: string): boolean {
  const record = view.briefings.find((b) => b.topic === topic);
  return !record || (record.overridden == null && record.acknowledged_at == null);
}
