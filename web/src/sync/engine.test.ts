import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import type { Deed } from '../domain/deeds';
import { seeded } from '../domain/seeded';
import { openDb, type Db } from '../store/db';
import { letGo, operationsOf, sendAgain, unsent } from '../store/outbox';
import { Engine, type Exclusive, type Progress } from './engine';
import { FakeServer, problem } from './fakeServer';
import { pauseAfter } from './backoff';

let databases = 0;
const freshDb = () => openDb({ name: `engine-test-${(databases += 1)}` });
let ids = 0;
const newId = () => `id-${String((ids += 1)).padStart(8, '0')}`;
const entry = (checkpoint: string, id = newId()): Deed => ({ kind: 'entry', id, input: { checkpoint, answer: { kind: 'condition', state: 'in_order' } } }) as Deed;
const photo = (id: string, bytes: number): Deed => ({
  kind: 'photo',
  id,
  subject: { of: 'viewpoint', viewpoint: `v-${id}` },
  taken_at: '2026-05-01T08:00:00Z',
  sha256: `hash-${id}`,
  bytes,
  width: 1,
  height: 1,
  content_type: 'image/jpeg',
});

/** Locks shared by every engine of a test, as pages of one browser share them. */
function locks(): Exclusive {
  const chains = new Map<string, Promise<void>>();
  return (name, work) => {
    const before = chains.get(name) ?? Promise.resolve();
    const mine = before.then(work);
    chains.set(name, mine.catch(() => undefined));
    return mine;
  };
}

function engine(db: Db, server: FakeServer, more: { exclusive?: Exclusive; timers?: (() => void)[]; online?: () => boolean } = {}) {
  const told: Progress[] = [];
  const it = new Engine({
    db,
    transport: server,
    exclusive: more.exclusive ?? locks(),
    newId,
    now: () => new Date('2026-05-01T08:00:00Z'),
    author: () => null,
    random: () => 0.5,
    online: more.online ?? (() => true),
    later: (work) => {
      more.timers?.push(work);
      return () => {
        const at = more.timers?.indexOf(work) ?? -1;
        if (at !== -1) more.timers?.splice(at, 1);
      };
    },
    changed: () => undefined,
    progress: (p) => told.push(p),
  });
  return { engine: it, told };
}

describe('engine', () => {
  it('sends in order, in batches, each once, and then the bytes', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    const { engine: e, told } = engine(db, server);
    const records = [];
    for (let i = 0; i < 250; i += 1) records.push(await e.record('i', entry(`c${i}`)));
    await e.record('i', photo('p1', 10), { photo: new Blob(['0123456789']) });
    expect(await e.settled()).toBe(true);
    expect(server.applied.map((a) => a.sequence)).toEqual(Array.from({ length: 251 }, (_, i) => i + 1));
    expect(await Promise.all(records.map((r) => r.outcome))).toEqual(records.map(() => ({ is: 'applied' })));
    expect(server.bytes.get('p1')).toEqual({ offset: 10, length: 10, arrived: 1 });
    expect(await db.count('blobs')).toBe(0);
    expect(await db.count('pictures')).toBe(1);
    expect(await db.count('receipts')).toBe(251);
    expect(told.some((p) => p.photos === 1 && p.bytes === 10 && p.bytesDone > 0)).toBe(true);
  });

  it('keeps what cannot be sent over a restart, and sends it then', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    const offline = engine(db, server, { online: () => false });
    const { outcome } = await offline.engine.record('i', photo('p1', 3), { photo: new Blob(['abc']) });
    expect(await outcome).toEqual({ is: 'waiting' });
    expect(await unsent(db)).toEqual({ records: 1, photos: 1, bytes: 3, refused: 0 });
    offline.engine.close();
    const again = engine(db, server);
    again.engine.flush();
    expect(await again.engine.settled()).toBe(true);
    expect(server.bytes.get('p1')?.arrived).toBe(1);
  });

  it('keeps what is refused, goes on with the rest, and sends it anew only when asked', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    server.refuses = (o) => (o.deed.kind === 'entry' && o.deed.input.checkpoint === 'bad' ? problem(422, 'answer_invalid') : null);
    const { engine: e } = engine(db, server);
    const bad = await e.record('i', entry('bad'));
    const good = await e.record('i', entry('good'));
    expect(await bad.outcome).toMatchObject({ is: 'refused', problem: { code: 'answer_invalid' } });
    expect(await good.outcome).toEqual({ is: 'applied' });
    expect(await unsent(db)).toMatchObject({ records: 0, refused: 1 });
    server.refuses = () => null;
    await sendAgain(db, [bad.operation.id], { newId });
    e.tryAgain();
    await e.settled();
    expect(await operationsOf(db, 'i')).toEqual([]);
    expect(server.applied).toHaveLength(2);
  });

  it('lets a new answer take the place of the refused one, and a person let one go', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    server.refuses = () => problem(422, 'answer_invalid');
    const { engine: e } = engine(db, server);
    await (await e.record('i', entry('a'))).outcome;
    await (await e.record('i', entry('b'))).outcome;
    server.refuses = () => null;
    const next = await e.record('i', entry('a'));
    expect(next.replaced).toHaveLength(1);
    await next.outcome;
    const [left] = await operationsOf(db, 'i');
    expect(left?.deed).toMatchObject({ input: { checkpoint: 'b' } });
    await letGo(db, left?.id ?? '');
    expect(await operationsOf(db, 'i')).toEqual([]);
    await expect(letGo(db, 'nothing')).rejects.toThrow();
  });

  it('takes being signed out, throttled or a server in trouble for passing, and goes on after signing in', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    server.signedIn = false;
    const timers: (() => void)[] = [];
    const { engine: e, told } = engine(db, server, { timers });
    expect(await (await e.record('i', entry('a'))).outcome).toEqual({ is: 'waiting' });
    expect(told.at(-1)?.signedOut).toBe(true);
    expect(await (await e.record('i', entry('b'))).outcome).toEqual({ is: 'waiting' });
    server.signedIn = true;
    e.tryAgain();
    expect(await e.settled()).toBe(true);
    expect(server.applied).toHaveLength(2);
  });

  it('begins anew under another name when the server has forgotten what it had', async () => {
    const db = await freshDb();
    const before = new FakeServer();
    const { engine: e } = engine(db, before);
    await e.record('i', entry('a'));
    await e.settled();
    e.close();
    const restored = new FakeServer();
    const again = engine(db, restored);
    await again.engine.record('i', entry('b'));
    await again.engine.record('i', entry('c'));
    expect(await again.engine.settled()).toBe(true);
    expect(restored.applied.map((a) => a.sequence)).toEqual([1, 2]);
  });

  it('sends once from two pages at a time', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    const exclusive = locks();
    const one = engine(db, server, { exclusive });
    const two = engine(db, server, { exclusive });
    const records = [];
    for (let i = 0; i < 20; i += 1) records.push(await (i % 2 === 0 ? one : two).engine.record('i', entry(`c${i}`)));
    for (const r of records) expect(await r.outcome).toEqual({ is: 'applied' });
    await one.engine.settled();
    await two.engine.settled();
    expect(server.applied.map((a) => a.sequence)).toEqual(Array.from({ length: 20 }, (_, i) => i + 1));
  });

  it('goes over to the walk-round somebody else had begun', async () => {
    const db = await freshDb();
    const server = new FakeServer();
    server.refuses = (o) => (o.deed.kind === 'start' ? problem(409, 'inspection_started', { inspection: 'theirs' }) : null);
    const { engine: e } = engine(db, server);
    await e.record('mine', { kind: 'start', hire: 'h', leg: 'departure' });
    await e.record('mine', entry('a'));
    await e.settled();
    expect(server.applied[0]?.content).toContain('theirs');
    expect(await unsent(db)).toMatchObject({ records: 0, refused: 0 });
  });

  it('waits longer after each failure, spread, and never more than a minute', () => {
    expect(pauseAfter(1, 0)).toBe(1000);
    expect(pauseAfter(1, 1)).toBe(2000);
    expect(pauseAfter(4, 1)).toBe(16_000);
    expect(pauseAfter(40, 1)).toBe(60_000);
    expect(pauseAfter(40, 0)).toBe(30_000);
  });
});

describe('engine with everything going wrong', () => {
  // Whatever is lost in either direction, whenever the page dies: at the end the server has each operation once, in
  // order, and each photograph whole; the device has nothing left but what was refused.
  const SEQUENCES = 3000;

  async function sequence(seed: number): Promise<void> {
    const random = seeded(seed);
    const below = (n: number) => Math.floor(random() * n);
    const db = await openDb({ name: `faults-${seed}` });
    const server = new FakeServer();
    server.faults = { random, requestLost: random() * 0.4, answerLost: random() * 0.4, trouble: random() * 0.3, cutAfterSome: random() * 0.3 };
    const refusedKeys = new Set<string>();
    server.refuses = (o) => (o.deed.kind === 'entry' && refusedKeys.has(o.deed.input.checkpoint) ? problem(422, 'answer_invalid') : null);
    const exclusive = locks();
    const timers: (() => void)[] = [];
    const pages = () => engine(db, server, { exclusive, timers, online: () => random() > 0.1 });
    let page = pages();
    let second: ReturnType<typeof pages> | null = null;
    const written: string[] = [];
    const photos: string[] = [];
    const steps = 3 + below(10);
    for (let step = 0; step < steps; step += 1) {
      const what = random();
      const here: ReturnType<typeof pages> = second !== null && random() < 0.4 ? second : page;
      if (what < 0.5) {
        const key = `c${step}`;
        if (random() < 0.15) refusedKeys.add(key);
        const deed = entry(key);
        await here.engine.record('i', deed);
        written.push(JSON.stringify(['i', deed]));
      } else if (what < 0.75) {
        const id = `p${step}`;
        const size = 1 + below(20);
        const deed = photo(id, size);
        await here.engine.record('i', deed, { photo: new Blob(['x'.repeat(size)]) });
        written.push(JSON.stringify(['i', deed]));
        photos.push(id);
      } else if (what < 0.85) {
        // The page dies; another comes up with the same database.
        page.engine.close();
        page = pages();
        page.engine.flush();
      } else if (what < 0.92) {
        second = second ?? pages();
      } else {
        server.signedIn = random() < 0.5;
        page.engine.tryAgain();
      }
      if (random() < 0.3) await new Promise((r) => setTimeout(r, 0));
      if (timers.length > 0 && random() < 0.5) timers.shift()?.();
    }
    // The weather clears.
    server.faults = { random, requestLost: 0, answerLost: 0, trouble: 0, cutAfterSome: 0 };
    server.signedIn = true;
    second?.engine.close();
    page.engine.close();
    const last = engine(db, server, { exclusive });
    last.engine.flush();
    for (let i = 0; i < 20 && !(await last.engine.settled()); i += 1) last.engine.tryAgain();
    last.engine.close();

    const left = await operationsOf(db, 'i');
    expect(left.every((o) => o.state === 'refused'), `seed ${seed}`).toBe(true);
    expect(left).toHaveLength(refusedKeys.size);
    const applied = server.applied.map((a) => a.content);
    expect(applied, `seed ${seed}`).toEqual(written.filter((w) => ![...refusedKeys].some((k) => w.includes(`"${k}"`))));
    expect(new Set(applied).size).toBe(applied.length);
    // A server that forgets nothing never makes the device take another name.
    expect(new Set(server.applied.map((a) => a.device)).size, `seed ${seed}`).toBeLessThanOrEqual(1);
    for (const id of photos) expect(server.bytes.get(id), `seed ${seed}, ${id}`).toMatchObject({ arrived: 1, offset: server.bytes.get(id)?.length });
    expect(await db.count('blobs')).toBe(0);
    expect(await db.count('uploads')).toBe(0);
    db.close();
    indexedDB.deleteDatabase(`faults-${seed}`);
  }

  it(`loses nothing and does nothing twice in ${SEQUENCES} sequences`, { timeout: 600_000 }, async () => {
    const width = 20;
    for (let from = 1; from <= SEQUENCES; from += width) {
      await Promise.all(Array.from({ length: Math.min(width, SEQUENCES - from + 1) }, (_, i) => sequence(from + i)));
    }
  });
});
