// What is signed of an inspection: everything recorded on it, and nothing that only the server knows. The same document
// comes out on the device that recorded it and on the server that seals it, so its hash can be signed in a field.
import type { Answer, InspectionView } from '../api/types';
import { canonical, type Json } from './canonical';
import { shortest } from './decimalText';
import { sha256OfText } from './hash';

export const FORMAT = 'handsel-record-1';

/** As the server writes moments in a record: in UTC, to the millisecond. */
function moment(at: string): string {
  return new Date(at).toISOString();
}

function momentOrNull(at: string | null | undefined): string | null {
  return at == null ? null : moment(at);
}

/** A note of nothing but blanks says nothing. */
function noteOrNull(note: string | null | undefined): string | null {
  return note == null || note.trim() === '' ? null : note;
}

/** Every text in an answer that is a decimal, in its shortest form; members left out stay out. */
function said(answer: Answer): Json {
  const plain = JSON.parse(JSON.stringify(answer)) as Json;
  return decimals(plain);
}

/** Members of an answer whose texts are names and not numbers. */
const NAMES = new Set(['kind', 'state', 'unit', 'grade']);

function decimals(value: Json): Json {
  if (value === null || typeof value !== 'object') return value;
  if (Array.isArray(value)) return (value as readonly Json[]).map(decimals);
  const members = Object.entries(value as Record<string, Json>).filter(([, member]) => member !== null);
  return Object.fromEntries(members.map(([key, member]) => [key, typeof member === 'string' && !NAMES.has(key) ? shortest(member) : decimals(member)]));
}

function by<T>(items: readonly T[], key: (item: T) => string): T[] {
  return [...items].sort((a, b) => (key(a) < key(b) ? -1 : key(a) > key(b) ? 1 : 0));
}

export function recordDocument(view: InspectionView): { [key: string]: Json } {
  return {
    format: FORMAT,
    inspection: view.id,
    leg: view.leg,
    hire: view.hire,
    vehicle: view.vehicle,
    template: { id: view.template, version: view.template_version },
    started_at: moment(view.started_at),
    entries: by(view.entries, (e) => e.id).map((e) => ({
      id: e.id,
      checkpoint: e.checkpoint,
      answer: said(e.answer),
      photos: [...(e.photos ?? [])],
      note: noteOrNull(e.note),
      recorded_at: moment(e.recorded_at),
      replaces: [...(e.replaces ?? [])].sort(),
    })),
    photos: by(view.photos, (p) => p.id).map((p) => ({ id: p.id, subject: { ...p.subject }, taken_at: moment(p.taken_at), sha256: p.sha256 })),
    marks: by(view.marks, (m) => m.id).map((m) => ({
      id: m.id,
      panel: m.panel,
      kind: m.kind,
      size_mm: m.size_mm,
      depth: m.depth,
      viewpoint: m.viewpoint,
      x: shortest(m.x),
      y: shortest(m.y),
      photos: [...(m.photos ?? [])],
      note: noteOrNull(m.note),
    })),
    sightings: by(view.sightings, (s) => s.mark).map((s) => ({ mark: s.mark, size_mm: s.size_mm, photos: [...(s.photos ?? [])], note: noteOrNull(s.note) })),
    briefings: by(view.briefings, (b) => b.topic).map((b) => ({
      topic: b.topic,
      shown_at: momentOrNull(b.shown_at),
      acknowledged_at: momentOrNull(b.acknowledged_at),
      override_reason: b.overridden?.reason ?? null,
    })),
    handed_over_at: momentOrNull(view.handed_over_at),
    absence: view.hirer_absent === null ? null : { reason: view.hirer_absent.reason, noted_at: moment(view.hirer_absent.noted_at) },
  };
}

export interface Recorded {
  document: { [key: string]: Json };
  sha256: string;
}

export async function recordOf(view: InspectionView): Promise<Recorded> {
  const document = recordDocument(view);
  return { document, sha256: await sha256OfText(canonical(document)) };
}

/** Enough of a hash to compare by eye. */
export function shortHash(sha256: string): string {
  return (sha256.slice(0, 16).match(/.{4}/gu) ?? []).join(' ');
}
