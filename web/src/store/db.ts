// The device's own database. Nothing somebody typed or photographed lives only in memory.
import { openDB, type DBSchema, type IDBPDatabase } from 'idb';
import type { Problem } from '../api/problem';
import type { Deed } from '../domain/deeds';

/** One deed on its way to the server. */
export interface Operation {
  /** UUIDv7: sorts in the order things were done on this device. */
  id: string;
  inspection: string;
  deed: Deed;
  doneAt: string;
  /** Waiting to be sent, or refused by the server and kept for a person to look at. */
  state: 'waiting' | 'refused';
  problem?: Problem;
}

export interface Draft {
  key: string;
  value: unknown;
  at: string;
}

interface Schema extends DBSchema {
  /** Single things, such as the session and the chosen language. */
  kept: { key: string; value: unknown };
  /** What the server last said, to show at once and without signal. */
  cache: { key: string; value: { key: string; value: unknown; at: string } };
  operations: { key: string; value: Operation; indexes: { inspection: string } };
  /** Photographs not yet confirmed by the server, by photo id. */
  blobs: { key: string; value: Blob };
  /** What stands in forms that were not sent yet. */
  drafts: { key: string; value: Draft };
}

export type Db = IDBPDatabase<Schema>;

export async function openDb(name = 'handsel'): Promise<Db> {
  return openDB<Schema>(name, 1, {
    upgrade(db) {
      db.createObjectStore('kept');
      db.createObjectStore('cache', { keyPath: 'key' });
      db.createObjectStore('operations', { keyPath: 'id' }).createIndex('inspection', 'inspection');
      db.createObjectStore('blobs');
      db.createObjectStore('drafts', { keyPath: 'key' });
    },
  });
}

/** Puts an operation, and the photograph that belongs to it, into the database in one transaction. */
export async function addOperation(db: Db, operation: Operation, photo?: Blob): Promise<void> {
  const tx = db.transaction(['operations', 'blobs'], 'readwrite');
  await tx.objectStore('operations').put(operation);
  if (photo && operation.deed.kind === 'photo') await tx.objectStore('blobs').put(photo, operation.deed.id);
  await tx.done;
}

/** Takes an operation out, with its photograph: the server has both, or a person let it go. */
export async function removeOperation(db: Db, operation: Operation): Promise<void> {
  const tx = db.transaction(['operations', 'blobs'], 'readwrite');
  await tx.objectStore('operations').delete(operation.id);
  if (operation.deed.kind === 'photo') await tx.objectStore('blobs').delete(operation.deed.id);
  await tx.done;
}

export async function operationsOf(db: Db, inspection: string): Promise<Operation[]> {
  return db.getAllFromIndex('operations', 'inspection', inspection);
}

/** Keeps an answer of the server under a key. */
export async function remember(db: Db, key: string, value: unknown): Promise<void> {
  await db.put('cache', { key, value, at: new Date().toISOString() });
}

export async function recall<T>(db: Db, key: string): Promise<{ value: T; at: string } | null> {
  const found = await db.get('cache', key);
  return found ? { value: found.value as T, at: found.at } : null;
}
