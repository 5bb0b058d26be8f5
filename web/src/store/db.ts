// The device's own database. Nothing somebody typed or photographed lives only in memory.
import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction } from 'idb';
import type { Problem } from '../api/problem';
import type { InspectionView } from '../api/types';
import type { Deed } from '../domain/deeds';
import { upgradeFromFirst } from './upgrade';

/** One deed on its way to the server. */
export interface Operation {
  /** UUIDv7: sorts in the order things were done on this device. */
  id: string;
  /**
   * Its place in everything this device sends: consecutive, given in the transaction that writes it down. A refused
   * one has had its place and has none any more.
   */
  sequence?: number;
  inspection: string;
  /** Who did it; whoever is signed in when it is sent sends it. */
  author?: string;
  deed: Deed;
  doneAt: string;
  /** Waiting to be sent, or refused by the server and kept for a person to look at. */
  state: 'waiting' | 'refused';
  problem?: Problem;
}

/** The bytes of a photograph on their way: where the server keeps them, and how far they have come. */
export interface Upload {
  photo: string;
  inspection: string;
  bytes: number;
  sha256: string;
  /** The server knows of the photograph: its bytes may follow. */
  announced: boolean;
  sent: number;
  url: string | null;
  state: 'waiting' | 'refused';
  problem?: Problem;
}

/** What the server said of an operation it has dealt with. */
export interface Receipt {
  operation: string;
  sequence: number;
  received_at: string;
  content_sha256: string;
}

/** Who this device is to the server, and the next place in its sequence. */
export interface Device {
  id: string;
  next: number;
}

export interface Draft {
  key: string;
  value: unknown;
  at: string;
}

export interface Cached {
  key: string;
  value: unknown;
  at: string;
  /** Counts what was applied on this device, so that an older answer of the server never takes its place. */
  epoch?: number;
}

export interface Picture {
  key: string;
  photo: string;
  blob: Blob;
  at: string;
}

export interface Schema extends DBSchema {
  /** Single things, such as the session, the chosen language and the device. */
  kept: { key: string; value: unknown };
  /** What the server last said, to show at once and without signal. */
  cache: { key: string; value: Cached };
  operations: { key: string; value: Operation; indexes: { inspection: string; sequence: number } };
  /** Photographs whose bytes the server does not have yet, by photo id. */
  blobs: { key: string; value: Blob };
  uploads: { key: string; value: Upload; indexes: { inspection: string } };
  receipts: { key: string; value: Receipt };
  /** Copies for looking at without signal, such as the departure's photographs. Can be had again. */
  pictures: { key: string; value: Picture; indexes: { photo: string } };
  /** What stands in forms that were not sent yet. */
  drafts: { key: string; value: Draft };
}

export type Db = IDBPDatabase<Schema>;
export type UpgradeTx = IDBPTransaction<Schema, ('kept' | 'cache' | 'operations' | 'blobs' | 'uploads' | 'receipts' | 'pictures' | 'drafts')[], 'versionchange'>;

export const VERSION = 2;

const STORES = ['kept', 'cache', 'operations', 'blobs', 'uploads', 'receipts', 'pictures', 'drafts'] as const;

export interface OpenParts {
  name?: string;
  newId?: () => string;
  /** Another page of an older version holds the database. */
  blocked?: () => void;
  /** A newer page waits for this one to let go. */
  blocking?: () => void;
  /** The browser has closed the database under this page. */
  terminated?: () => void;
}

export async function openDb(parts: OpenParts = {}): Promise<Db> {
  const db = await openDB<Schema>(parts.name ?? 'handsel', VERSION, {
    upgrade: (database, before, _after, tx) => {
      if (before < 1) {
        database.createObjectStore('kept');
        database.createObjectStore('cache', { keyPath: 'key' });
        database.createObjectStore('operations', { keyPath: 'id' }).createIndex('inspection', 'inspection');
        database.createObjectStore('blobs');
        database.createObjectStore('drafts', { keyPath: 'key' });
      }
      if (before < 2) {
        tx.objectStore('operations').createIndex('sequence', 'sequence');
        database.createObjectStore('uploads', { keyPath: 'photo' }).createIndex('inspection', 'inspection');
        database.createObjectStore('receipts', { keyPath: 'operation' });
        database.createObjectStore('pictures', { keyPath: 'key' }).createIndex('photo', 'photo');
        if (before === 1) return upgradeFromFirst(tx);
      }
      return undefined;
    },
    ...(parts.blocked ? { blocked: parts.blocked } : {}),
    blocking: (_current, _wanted, event) => {
      (event.target as IDBDatabase).close();
      parts.blocking?.();
    },
    ...(parts.terminated ? { terminated: parts.terminated } : {}),
  });
  // A database that opens and lacks a part would fail at the first tap, with somebody's work in the hand.
  const missing = STORES.filter((name) => !db.objectStoreNames.contains(name));
  if (missing.length > 0) {
    db.close();
    throw new Error(`the database has no ${missing.join(', ')}`);
  }
  return db;
}

/** Keeps an answer of the server under a key. */
export async function remember(db: Db, key: string, value: unknown): Promise<void> {
  await db.put('cache', { key, value, at: new Date().toISOString() });
}

export async function recall<T>(db: Db, key: string): Promise<{ value: T; at: string } | null> {
  const found = await db.get('cache', key);
  return found ? { value: found.value as T, at: found.at } : null;
}

export const viewKey = (inspection: string) => `inspection/${inspection}`;

/** How much of an inspection was applied on this device when the server is asked. */
export async function viewEpoch(db: Db, inspection: string): Promise<number> {
  return (await db.get('cache', viewKey(inspection)))?.epoch ?? 0;
}

/** The same of every inspection on this device. */
export async function viewEpochs(db: Db): Promise<Map<string, number>> {
  const views = await db.getAll('cache', IDBKeyRange.bound('inspection/', 'inspection/\uffff'));
  return new Map(views.map((v) => [v.key.slice('inspection/'.length), v.epoch ?? 0]));
}

/**
 * Keeps what the server says of an inspection; false when something was applied on this device since it was asked, and
 * the answer may lack it.
 */
export async function keepView(db: Db, view: InspectionView, epoch: number): Promise<boolean> {
  const tx = db.transaction('cache', 'readwrite');
  const now = (await tx.store.get(viewKey(view.id)))?.epoch ?? 0;
  if (now !== epoch) {
    await tx.done;
    return false;
  }
  await tx.store.put({ key: viewKey(view.id), value: view, at: new Date().toISOString(), epoch });
  await tx.done;
  return true;
}
