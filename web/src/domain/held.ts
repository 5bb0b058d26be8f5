// Answers and photographs of a view by what they belong to. A view is never changed once it is made, so each of its
// lists is gone through once, however many questions are asked about it.
import type { Entry, PhotoView } from '../api/types';

interface HeldEntries {
  last: ReadonlyMap<string, Entry>;
  all: ReadonlyMap<string, readonly Entry[]>;
  /** Answers some other answer takes the place of. */
  replaced: ReadonlySet<string>;
}

interface HeldPhotos {
  viewpoint: ReadonlyMap<string, PhotoView>;
  checkpoint: ReadonlyMap<string, readonly PhotoView[]>;
  id: ReadonlyMap<string, PhotoView>;
}

const entriesOf = new WeakMap<readonly Entry[], HeldEntries>();
const photosOf = new WeakMap<readonly PhotoView[], HeldPhotos>();

function append<T>(to: Map<string, T[]>, key: string, item: T): void {
  const list = to.get(key);
  if (list) list.push(item);
  else to.set(key, [item]);
}

export function heldEntries(entries: readonly Entry[]): HeldEntries {
  const known = entriesOf.get(entries);
  if (known) return known;
  const last = new Map<string, Entry>();
  const all = new Map<string, Entry[]>();
  const replaced = new Set<string>();
  for (const entry of entries) {
    last.set(entry.checkpoint, entry);
    append(all, entry.checkpoint, entry);
    for (const older of entry.replaces ?? []) replaced.add(older);
  }
  const held = { last, all, replaced };
  entriesOf.set(entries, held);
  return held;
}

export function heldPhotos(photos: readonly PhotoView[]): HeldPhotos {
  const known = photosOf.get(photos);
  if (known) return known;
  const viewpoint = new Map<string, PhotoView>();
  const checkpoint = new Map<string, PhotoView[]>();
  const id = new Map<string, PhotoView>();
  for (const photo of photos) {
    id.set(photo.id, photo);
    if (photo.subject.of === 'viewpoint') viewpoint.set(photo.subject.viewpoint, photo);
    if (photo.subject.of === 'checkpoint') append(checkpoint, photo.subject.checkpoint, photo);
  }
  const held = { viewpoint, checkpoint, id };
  photosOf.set(photos, held);
  return held;
}
