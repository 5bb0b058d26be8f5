import 'fake-indexeddb/auto';
import { describe, expect, it, vi } from 'vitest';
import { Refused, Unreachable } from '../api/problem';
import type { Deed } from '../domain/deeds';
import { openDb, operationsOf, type Db, type Operation } from '../store/db';
import { Outbox } from './outbox';

let databases = 0;
let ids = 0;

const entry = (checkpoint: string): Deed => ({ kind: 'entry', id: `e-${checkpoint}`, input: { checkpoint, answer: { kind: 'condition', state: 'in_order' } } });
const photo = (id: string): Deed => ({ kind: 'photo', id, subject: { of: 'viewpoint', viewpoint: 'side' }, takenAt: '2026-05-01T08:00:00Z', width: 1, height: 1, bytes: 1 });
const no = (status: number, code = 'answer_invalid') => new Refused({ status, code, title: 'No', detail: 'gross below tare', errors: [], more: {} });

async function outbox(send: (o: Operation, photo: Blob | undefined) => Promise<void>, db?: Db) {
  const applied: Deed[] = [];
  const store = db ?? (await openDb(`outbox-test-${(databases += 1)}`));
  const box = new Outbox({
    db: store,
    inspection: 'i',
    send,
    newId: () => `op-${String((ids += 1)).padStart(6, '0')}`,
    now: () => new Date('2026-05-01T08:00:00Z'),
    changed: (_, deed) => {
      if (deed) applied.push(deed);
    },
  });
  await box.load();
  return { box, db: store, applied };
}

describe('outbox', () => {
  it('sends in the order things were done, one after the other', async () => {
    const sent: string[] = [];
    let under_way = 0;
    const { box, db, applied } = await outbox(async (o) => {
      under_way += 1;
      expect(under_way).toBe(1);
      await new Promise((r) => setTimeout(r, 1));
      sent.push(o.deed.kind === 'entry' ? o.deed.input.checkpoint : o.deed.kind);
      under_way -= 1;
    });
    const records = await Promise.all(['a', 'b', 'c'].map((k) => box.record(entry(k))));
    expect(await Promise.all(records.map((r) => r.outcome))).toEqual([{ is: 'applied' }, { is: 'applied' }, { is: 'applied' }]);
    expect(sent).toEqual(['a', 'b', 'c']);
    expect(applied).toHaveLength(3);
    expect(await operationsOf(db, 'i')).toEqual([]);
  });

  it('keeps what cannot be sent, over a restart, with its photograph', async () => {
    const offline = await outbox(() => Promise.reject(new Unreachable(null)));
    const { outcome } = await offline.box.record(photo('p1'), new Blob(['x']));
    expect(await outcome).toEqual({ is: 'waiting' });
    offline.box.close();
    expect(await offline.db.get('blobs', 'p1')).toBeDefined();

    const sent: string[] = [];
    const later = await outbox(async (o, blob) => {
      sent.push(`${o.deed.kind} ${blob === undefined ? 'without' : 'with'} picture`);
      await Promise.resolve();
    }, offline.db);
    expect(await later.box.settled()).toBe(true);
    expect(sent).toEqual(['photo with picture']);
    expect(await offline.db.get('blobs', 'p1')).toBeUndefined();
  });

  it('tries again by itself after a pause', async () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    try {
      let reachable = false;
      const { box } = await outbox(() => (reachable ? Promise.resolve() : Promise.reject(new Unreachable(null))));
      const { outcome } = await box.record(entry('a'));
      expect(await outcome).toEqual({ is: 'waiting' });
      reachable = true;
      await vi.advanceTimersByTimeAsync(2_000);
      vi.useRealTimers();
      await vi.waitFor(() => expect(box.operations).toEqual([]));
    } finally {
      vi.useRealTimers();
    }
  });

  it('keeps what is refused, with the server’s words, and goes on with the rest', async () => {
    const { box, db } = await outbox((o) => (o.deed.kind === 'entry' && o.deed.input.checkpoint === 'bad' ? Promise.reject(no(422)) : Promise.resolve()));
    const bad = await box.record(entry('bad'));
    const good = await box.record(entry('good'));
    expect(await bad.outcome).toMatchObject({ is: 'refused', problem: { detail: 'gross below tare' } });
    expect(await good.outcome).toEqual({ is: 'applied' });
    expect(await operationsOf(db, 'i')).toMatchObject([{ state: 'refused', problem: { code: 'answer_invalid' } }]);
    expect(await box.settled()).toBe(true);
  });

  it('lets a new answer take the place of the refused one, and a person let one go', async () => {
    let strict = true;
    const { box } = await outbox(() => (strict ? Promise.reject(no(422)) : Promise.resolve()));
    await (await box.record(entry('a'))).outcome;
    await (await box.record(entry('b'))).outcome;
    expect(box.operations).toHaveLength(2);
    strict = false;
    await (await box.record(entry('a'))).outcome;
    expect(box.operations.map((o) => o.state)).toEqual(['refused']);
    const [left] = box.operations;
    await box.letGo(left?.id ?? '');
    expect(box.operations).toEqual([]);
    await expect(box.letGo('nothing')).rejects.toThrow();
  });

  it('treats a signed-out session or a server in trouble as passing, not as a no', async () => {
    for (const status of [401, 429, 500, 503]) {
      const { box } = await outbox(() => Promise.reject(no(status, 'x')));
      const { outcome } = await box.record(entry('a'));
      expect(await outcome).toEqual({ is: 'waiting' });
      expect(box.operations.map((o) => o.state)).toEqual(['waiting']);
      box.close();
    }
  });
});
