// Everything that changes the outbox, each as one transaction: the operation with its place in the sequence, the
// photograph with the record of its upload, the view as it stands once the server has applied something.
import type { IDBPTransaction } from 'idb';
import type { Problem } from '../api/problem';
import type { InspectionView } from '../api/types';
import { apply, subjectOf, type Deed } from '../domain/deeds';
import { viewKey, type Cached, type Db, type Device, type Operation, type Receipt, type Schema, type Upload } from './db';

export interface Written {
  operation: Operation;
  /** Refused ones on the same subject, whose place the new one takes. */
  replaced: string[];
}

function device(value: unknown, newId: () => string): Device {
  return (value as Device | undefined) ?? { id: newId(), next: 1 };
}

/** Who this device is: made once, the first time it is asked for. */
export async function deviceOf(db: Db, newId: () => string): Promise<Device> {
  const before = (await db.get('kept', 'device')) as Device | undefined;
  if (before) return before;
  const tx = db.transaction('kept', 'readwrite');
  // Another page may have made it meanwhile.
  const known = (await tx.store.get('device')) as Device | undefined;
  const now = device(known, newId);
  if (!known) await tx.store.put(now, 'device');
  await tx.done;
  return now;
}

/** Writes a deed down with everything that belongs to it. A refused deed on the same subject gives way to it. */
export async function writeDown(
  db: Db,
  parts: { id: string; inspection: string; deed: Deed; author?: string | null; doneAt: string; newId: () => string; photo?: Blob | undefined; cache?: Readonly<Record<string, unknown>> },
): Promise<Written> {
  const { id, inspection, deed, doneAt, photo } = parts;
  const tx = db.transaction(['kept', 'operations', 'blobs', 'uploads', 'cache'], 'readwrite');
  const settled = tx.done;
  try {
    const kept = tx.objectStore('kept');
    const operations = tx.objectStore('operations');
    const now = device(await kept.get('device'), parts.newId);
    const replaced: string[] = [];
    for (const old of await operations.index('inspection').getAll(inspection)) {
      if (old.state !== 'refused' || subjectOf(old.deed) !== subjectOf(deed)) continue;
      replaced.push(old.id);
      await operations.delete(old.id);
      if (old.deed.kind === 'photo') {
        await tx.objectStore('blobs').delete(old.deed.id);
        await tx.objectStore('uploads').delete(old.deed.id);
      }
    }
    const author = parts.author == null ? {} : { author: parts.author };
    const operation: Operation = { id, sequence: now.next, inspection, ...author, deed, doneAt, state: 'waiting' };
    await kept.put({ id: now.id, next: now.next + 1 }, 'device');
    await operations.put(operation);
    if (photo && deed.kind === 'photo') {
      await tx.objectStore('blobs').put(photo, deed.id);
      const upload: Upload = { photo: deed.id, inspection, bytes: photo.size, sha256: deed.sha256, announced: false, sent: 0, url: null, state: 'waiting' };
      await tx.objectStore('uploads').put(upload);
    }
    for (const [key, value] of Object.entries(parts.cache ?? {})) await tx.objectStore('cache').put({ key, value, at: doneAt });
    await settled;
    return { operation, replaced };
  } catch (error) {
    // All of it or none: the reason a transaction stopped is told by the transaction, not by the request in it.
    try {
      tx.abort();
    } catch (again) {
      if (!(again instanceof DOMException)) throw again;
    }
    await settled.catch((cause: unknown) => {
      if (cause instanceof DOMException && cause.name === 'QuotaExceededError') throw cause;
    });
    throw error;
  }
}

export async function operationsOf(db: Db, inspection: string): Promise<Operation[]> {
  return inOrder(await db.getAllFromIndex('operations', 'inspection', inspection));
}

/** In the order of the sequence; what was refused stands by its id, which sorts by time. */
function inOrder(operations: Operation[]): Operation[] {
  return operations.sort((a, b) => (a.sequence ?? 0) - (b.sequence ?? 0) || a.id.localeCompare(b.id));
}

/** What is to be sent next, in order. */
export async function nextOperations(db: Db, most: number): Promise<Operation[]> {
  return db.getAllFromIndex('operations', 'sequence', undefined, most);
}

export interface Settled {
  operation: Operation;
  refused: Problem | null;
  receipt: Receipt | null;
}

/** Keeps what became of operations, and what that makes of the views they belong to. */
export async function settle(db: Db, settled: readonly Settled[], at: string): Promise<void> {
  if (settled.length === 0) return;
  const tx = db.transaction(['operations', 'blobs', 'uploads', 'receipts', 'cache'], 'readwrite');
  const operations = tx.objectStore('operations');
  const uploads = tx.objectStore('uploads');
  const cache = tx.objectStore('cache');
  const views = new Map<string, Cached>();
  for (const { operation, refused, receipt } of settled) {
    // Another page may have dealt with it: what is gone stays gone.
    if (!(await operations.get(operation.id))) continue;
    if (receipt) await tx.objectStore('receipts').put(receipt);
    const begun = operation.deed.kind === 'start' && refused?.code === 'inspection_started' ? refused.more['inspection'] : undefined;
    if (typeof begun === 'string') {
      await operations.delete(operation.id);
      await moveTo(tx, operation.inspection, begun);
      continue;
    }
    if (refused) {
      const kept: Operation = { ...operation, state: 'refused', problem: refused };
      delete kept.sequence;
      await operations.put(kept);
      continue;
    }
    await operations.delete(operation.id);
    const { deed } = operation;
    if (deed.kind === 'photo') {
      const upload = await uploads.get(deed.id);
      if (upload) await uploads.put({ ...upload, announced: true });
    }
    if (deed.kind === 'photo_removed') {
      await uploads.delete(deed.id);
      await tx.objectStore('blobs').delete(deed.id);
    }
    const key = viewKey(operation.inspection);
    const cached = views.get(key) ?? (await cache.get(key));
    if (cached) {
      views.set(key, { ...cached, value: apply(cached.value as InspectionView, deed), at, epoch: (cached.epoch ?? 0) + 1 });
    }
  }
  for (const view of views.values()) await cache.put(view);
  await tx.done;
}

/** Somebody else had begun the same walk-round: what was recorded here belongs to theirs. */
async function moveTo(tx: IDBPTransaction<Schema, ('operations' | 'uploads' | 'blobs' | 'receipts' | 'cache')[], 'readwrite'>, from: string, to: string): Promise<void> {
  for (const operation of await tx.objectStore('operations').index('inspection').getAll(from)) {
    await tx.objectStore('operations').put({ ...operation, inspection: to });
  }
  for (const upload of await tx.objectStore('uploads').index('inspection').getAll(from)) {
    await tx.objectStore('uploads').put({ ...upload, inspection: to });
  }
}

/** Puts refused ones in line again, as new operations: the server has dealt with the old ones. */
export async function sendAgain(db: Db, ids: readonly string[], parts: { newId: () => string }): Promise<void> {
  const tx = db.transaction(['kept', 'operations', 'uploads'], 'readwrite');
  const operations = tx.objectStore('operations');
  const now = device(await tx.objectStore('kept').get('device'), parts.newId);
  for (const id of ids) {
    const old = await operations.get(id);
    if (old?.state === 'refused') {
      await operations.delete(id);
      const again: Operation = { ...old, id: parts.newId(), sequence: now.next, state: 'waiting' };
      delete again.problem;
      await operations.put(again);
      now.next += 1;
    }
    const upload = await tx.objectStore('uploads').get(id);
    if (upload?.state === 'refused') {
      const again: Upload = { ...upload, state: 'waiting', url: null, sent: 0 };
      delete again.problem;
      await tx.objectStore('uploads').put(again);
    }
  }
  await tx.objectStore('kept').put(now, 'device');
  await tx.done;
}

/** A person lets go of something refused, by the id of the operation or the photograph. */
export async function letGo(db: Db, id: string): Promise<void> {
  const tx = db.transaction(['operations', 'blobs', 'uploads'], 'readwrite');
  const operation = await tx.objectStore('operations').get(id);
  const upload = await tx.objectStore('uploads').get(id);
  if (operation?.state !== 'refused' && upload?.state !== 'refused') {
    await tx.done;
    throw new Error(`nothing refused has the id ${id}`);
  }
  const photo = operation?.deed.kind === 'photo' ? operation.deed.id : upload?.state === 'refused' ? upload.photo : null;
  if (operation) await tx.objectStore('operations').delete(id);
  if (photo !== null) {
    await tx.objectStore('uploads').delete(photo);
    await tx.objectStore('blobs').delete(photo);
  }
  await tx.done;
}

/**
 * The server and this device no longer agree on what was sent: this device begins anew under another name. Everything
 * that waits keeps its order; what the server may have had already it knows by the id of the answer, mark or photograph.
 */
export async function renumber(db: Db, newId: () => string): Promise<void> {
  const tx = db.transaction(['kept', 'operations'], 'readwrite');
  const operations = tx.objectStore('operations');
  const now: Device = { id: newId(), next: 1 };
  for (const operation of await operations.index('sequence').getAll()) {
    await operations.delete(operation.id);
    await operations.put({ ...operation, id: newId(), sequence: now.next });
    now.next += 1;
  }
  await tx.objectStore('kept').put(now, 'device');
  await tx.done;
}

export async function keepUpload(db: Db, photo: string, change: Partial<Upload>): Promise<void> {
  const tx = db.transaction('uploads', 'readwrite');
  const upload = await tx.store.get(photo);
  if (upload) await tx.store.put({ ...upload, ...change });
  await tx.done;
}

/** The server has the bytes. They stay here as a copy for looking at, which can be let go. */
export async function uploadDone(db: Db, photo: string, at: string): Promise<void> {
  const tx = db.transaction(['uploads', 'blobs', 'pictures'], 'readwrite');
  const blob = await tx.objectStore('blobs').get(photo);
  await tx.objectStore('uploads').delete(photo);
  await tx.objectStore('blobs').delete(photo);
  if (blob) await tx.objectStore('pictures').put({ key: `${photo}/screen`, photo, blob, at });
  await tx.done;
}

/** What is on this device and not with the server. */
export interface Unsent {
  /** Waiting records. */
  records: number;
  photos: number;
  bytes: number;
  refused: number;
}

export async function unsent(db: Db): Promise<Unsent> {
  const tx = db.transaction(['operations', 'uploads']);
  const waiting = await tx.objectStore('operations').index('sequence').count();
  const all = await tx.objectStore('operations').count();
  const uploads = await tx.objectStore('uploads').getAll();
  await tx.done;
  const moving = uploads.filter((u) => u.state === 'waiting');
  return {
    records: waiting,
    photos: moving.length,
    bytes: moving.reduce((sum, u) => sum + u.bytes - u.sent, 0),
    refused: all - waiting + uploads.filter((u) => u.state === 'refused').length,
  };
}
