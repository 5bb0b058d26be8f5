import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import { describe, expect, it } from 'vitest';
import type { InspectionView } from '../api/types';
import type { Deed } from '../domain/deeds';
import { sha256Hex } from '../domain/hash';
import { keepView, openDb, recall, remember, viewEpoch, viewKey, type Operation } from './db';
import { deviceOf, nextOperations, operationsOf, settle, unsent, writeDown } from './outbox';
import { completeHashes } from './upgrade';

let ids = 0;
const newId = () => `id-${String((ids += 1)).padStart(6, '0')}`;
let databases = 0;
const freshDb = () => openDb({ name: `db-test-${(databases += 1)}` });
const entry = (checkpoint: string): Deed => ({ kind: 'entry', id: `e-${checkpoint}`, input: { checkpoint, answer: { kind: 'condition', state: 'in_order' } } }) as Deed;

/** A database as the first version made it, with what that version wrote into it. */
async function firstVersion(name: string): Promise<void> {
  const db = await openDB(name, 1, {
    upgrade(d) {
      d.createObjectStore('kept');
      d.createObjectStore('cache', { keyPath: 'key' });
      d.createObjectStore('operations', { keyPath: 'id' }).createIndex('inspection', 'inspection');
      d.createObjectStore('blobs');
      d.createObjectStore('drafts', { keyPath: 'key' });
    },
  });
  const at = '2026-05-01T08:00:00.000Z';
  await db.put('kept', { access_token: 'a' }, 'session');
  await db.put('cache', { key: 'inspection/i', value: { id: 'i' }, at });
  await db.put('operations', { id: '018f-02', inspection: 'i', deed: entry('door'), doneAt: at, state: 'waiting' });
  await db.put('operations', {
    id: '018f-01',
    inspection: 'i',
    deed: { kind: 'photo', id: 'p1', subject: { of: 'viewpoint', viewpoint: 'front' }, takenAt: at, width: 2, height: 1, bytes: 3 },
    doneAt: at,
    state: 'waiting',
  });
  await db.put('operations', { id: '018f-00', inspection: 'j', deed: entry('bad'), doneAt: at, state: 'refused', problem: { code: 'answer_invalid' } });
  await db.put('blobs', new Blob(['abc'], { type: 'image/jpeg' }), 'p1');
  await db.put('drafts', { key: 'answer/i/x', value: { note: 'typed' }, at });
  db.close();
}

describe('database', () => {
  it('takes everything unsent over from the first version', async () => {
    await firstVersion('first');
    const db = await openDb({ name: 'first' });
    await completeHashes(db);
    const waiting = await nextOperations(db, 10);
    expect(waiting.map((o) => [o.id, o.sequence])).toEqual([
      ['018f-01', 1],
      ['018f-02', 2],
    ]);
    const sha256 = await sha256Hex(new TextEncoder().encode('abc'));
    expect(waiting[0]?.deed).toEqual({
      kind: 'photo',
      id: 'p1',
      subject: { of: 'viewpoint', viewpoint: 'front' },
      taken_at: '2026-05-01T08:00:00.000Z',
      sha256,
      bytes: 3,
      width: 2,
      height: 1,
      content_type: 'image/jpeg',
    });
    expect(await db.get('uploads', 'p1')).toMatchObject({ inspection: 'i', sha256, bytes: 3, state: 'waiting', announced: false });
    expect(await (await db.get('blobs', 'p1'))?.text()).toBe('abc');
    expect(await operationsOf(db, 'j')).toMatchObject([{ state: 'refused', problem: { code: 'answer_invalid' } }]);
    expect(await db.get('kept', 'session')).toEqual({ access_token: 'a' });
    expect(await db.get('drafts', 'answer/i/x')).toMatchObject({ value: { note: 'typed' } });
    expect((await deviceOf(db, newId)).next).toBe(3);
    expect(await unsent(db)).toEqual({ records: 2, photos: 1, bytes: 3, refused: 1 });
    const { operation } = await writeDown(db, { id: newId(), inspection: 'i', deed: entry('next'), doneAt: '', newId });
    expect(operation.sequence).toBe(3);
  });

  it('makes the device once and gives consecutive places, whoever asks at the same time', async () => {
    const db = await freshDb();
    const devices = await Promise.all([deviceOf(db, newId), deviceOf(db, newId)]);
    expect(devices[0]).toEqual(devices[1]);
    const written = await Promise.all(Array.from({ length: 20 }, (_, i) => writeDown(db, { id: newId(), inspection: 'i', deed: entry(`c${i}`), doneAt: '', newId })));
    expect(written.map((w) => w.operation.sequence).sort((a, b) => (a ?? 0) - (b ?? 0))).toEqual(Array.from({ length: 20 }, (_, i) => i + 1));
  });

  it('writes the operation, its place and its photograph together or not at all', async () => {
    const db = await freshDb();
    const before = await deviceOf(db, newId);
    // What cannot be stored makes the last of the writes fail.
    const unstorable = { size: 3, text: () => undefined } as unknown as Blob;
    const deed: Deed = { kind: 'photo', id: 'p1', subject: { of: 'viewpoint', viewpoint: 'v' }, taken_at: '', sha256: 's', bytes: 3, width: 1, height: 1, content_type: 'image/jpeg' };
    await expect(writeDown(db, { id: newId(), inspection: 'i', deed, doneAt: '', newId, photo: unstorable })).rejects.toThrow();
    expect(await operationsOf(db, 'i')).toEqual([]);
    expect(await db.count('uploads')).toBe(0);
    expect(await deviceOf(db, newId)).toEqual(before);
  });

  it('never puts an older answer of the server over what was applied since', async () => {
    const db = await freshDb();
    const view = { id: 'i', entries: [], photos: [], started_at: '' } as unknown as InspectionView;
    await remember(db, viewKey('i'), view);
    const asked = await viewEpoch(db, 'i');
    const { operation } = await writeDown(db, { id: newId(), inspection: 'i', deed: entry('a'), doneAt: '', newId });
    await settle(db, [{ operation, refused: null, receipt: null }], '');
    expect(await keepView(db, view, asked)).toBe(false);
    expect((await recall<InspectionView>(db, viewKey('i')))?.value.entries).toHaveLength(1);
    expect(await keepView(db, view, await viewEpoch(db, 'i'))).toBe(true);
  });

  it('settles an operation once, also when two pages have its answer', async () => {
    const db = await freshDb();
    await remember(db, viewKey('i'), { id: 'i', entries: [], started_at: '' });
    const { operation } = await writeDown(db, { id: newId(), inspection: 'i', deed: entry('a'), doneAt: '', newId });
    const settled = [{ operation, refused: null, receipt: null }];
    await settle(db, settled, '');
    const refused = { status: 422, code: 'x', title: '', detail: '', errors: [], more: {} };
    await settle(db, [{ operation, refused, receipt: null }], '');
    expect(await operationsOf(db, 'i')).toEqual([] as Operation[]);
  });
});
