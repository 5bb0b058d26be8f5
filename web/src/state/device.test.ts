import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { Refused, Unreachable } from '../api/problem';
import { openDb } from '../store/db';
import { isStorageFull, StorageState } from './storage.svelte';
import { stored } from './stored';
import { compare, keepNote } from './watch';

let databases = 0;
const freshDb = () => openDb({ name: `device-test-${(databases += 1)}` });

function store(): Storage {
  const map = new Map<string, string>();
  return { getItem: (k: string) => map.get(k) ?? null, setItem: (k: string, v: string) => void map.set(k, v) } as unknown as Storage;
}

describe('a lost database', () => {
  it('is noticed, with how much of it had not been sent', () => {
    const s = store();
    expect(compare(s, 'd1')).toEqual({ is: 'none' });
    keepNote(s, 'd1', { records: 2, photos: 1, bytes: 9, refused: 1 });
    expect(compare(s, 'd1')).toEqual({ is: 'none' });
    expect(compare(s, 'd2')).toEqual({ is: 'gone', unsent: 4 });
  });
});

describe('storage', () => {
  it('says when it is low, and makes room by what can be had again only', async () => {
    const db = await freshDb();
    await db.put('blobs', new Blob(['x']), 'p');
    await db.put('pictures', { key: 'q/list', photo: 'q', blob: new Blob(['y']), at: '' });
    const state = new StorageState(db, {
      storage: { persisted: () => Promise.resolve(false), persist: () => Promise.resolve(true), estimate: () => Promise.resolve({ quota: 50_000_000, usage: 20_000_000 }) },
      userAgent: 'iPhone',
      standalone: false,
    });
    await state.watch();
    expect([state.persisted, state.free, state.low, state.install]).toEqual([true, 30_000_000, true, 'by_hand_safari']);
    expect(await state.makeRoom()).toBe(true);
    expect(await state.makeRoom()).toBe(false);
    expect(await db.count('blobs')).toBe(1);
  });

  it('knows a full device from other faults', () => {
    expect(isStorageFull(new DOMException('full', 'QuotaExceededError'))).toBe(true);
    expect(isStorageFull(new DOMException('other', 'DataError'))).toBe(false);
    expect(isStorageFull(new Error('QuotaExceededError'))).toBe(false);
  });
});

describe('what is kept of the server’s answers', () => {
  it('is shown without a signal and after a session ended, and not in place of a no', async () => {
    const db = await freshDb();
    expect(await stored(db, 'k', () => Promise.resolve(1))).toEqual({ value: 1, at: null });
    const offline = await stored(db, 'k', () => Promise.reject(new Unreachable(null)));
    expect(offline.value).toBe(1);
    expect(offline.at).not.toBeNull();
    const no = (status: number) => new Refused({ status, code: 'x', title: '', detail: '', errors: [], more: {} });
    expect((await stored(db, 'k', () => Promise.reject(no(401)))).value).toBe(1);
    await expect(stored(db, 'k', () => Promise.reject(no(404)))).rejects.toBeInstanceOf(Refused);
    await expect(stored(db, 'never', () => Promise.reject(new Unreachable(null)))).rejects.toBeInstanceOf(Unreachable);
    expect((await stored(db, 'k', () => Promise.resolve(2))).value).toBe(2);
  });
});
