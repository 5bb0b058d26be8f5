// Sends what stands in the outbox, in the foreground: operations in order and in batches, then the photographs' bytes.
// What cannot be sent waits and is tried again; what is refused stays until a person decides. The database is the
// truth: everything here can be forgotten at any moment and read from it again.
import { Refused, Unreachable, type Problem } from '../api/problem';
import type { Deed } from '../domain/deeds';
import type { Db, Operation, Upload } from '../store/db';
import { deviceOf, keepUpload, nextOperations, renumber, settle, unsent, uploadDone, writeDown, type Unsent } from '../store/outbox';
import { completeHashes } from '../store/upgrade';
import { pauseAfter } from './backoff';
import { batchOf, isPassing, MOST_OPERATIONS, readOutcomes } from './batch';
import type { Transport } from './transport';

export type Outcome = { is: 'applied' } | { is: 'refused'; problem: Problem } | { is: 'waiting' };

/** One page at a time: the work is done while no other page does the same. */
export type Exclusive = (name: string, work: () => Promise<void>) => Promise<void>;

export interface EngineParts {
  db: Db;
  transport: Transport;
  exclusive: Exclusive;
  newId(): string;
  now(): Date;
  /** Who is at work. */
  author(): string | null;
  /** From 0 to 1. */
  random(): number;
  online(): boolean;
  later(work: () => void, ms: number): () => void;
  /** Records of these inspections changed, or how much is unsent. */
  changed(inspections: readonly string[]): void;
  progress(progress: Progress): void;
}

export interface Progress {
  sending: boolean;
  /** The server asks who this is: a person has to sign in again. */
  signedOut: boolean;
  /** Tried, and not got through. */
  stuck: boolean;
  photosDone: number;
  photos: number;
  bytesDone: number;
  bytes: number;
}

/** Two at a time hide the way there and back without taking the line from the operations for long. */
const UPLOADS_AT_ONCE = 2;

type Lane = 'operations' | 'uploads';

export interface RecordMore {
  photo?: Blob;
  /** What the device shows from now on, written in the same transaction. */
  cache?: Readonly<Record<string, unknown>>;
  /** When it was done, where that is not now. */
  at?: Date;
}

export class Engine {
  readonly #parts: EngineParts;
  readonly #waiters = new Map<string, (outcome: Outcome) => void>();
  readonly #running: Record<Lane, Promise<void> | null> = { operations: null, uploads: null };
  readonly #again: Record<Lane, boolean> = { operations: false, uploads: false };
  #failures = 0;
  #cancelTimer: (() => void) | null = null;
  #closed = false;
  #signedOut = false;
  #stuck = false;
  #hashed: Promise<void> | null = null;
  #done = { photos: 0, bytes: 0 };
  readonly #moving = new Map<string, number>();
  #left: Unsent = { records: 0, photos: 0, bytes: 0, refused: 0 };

  constructor(parts: EngineParts) {
    this.#parts = parts;
  }

  /** Writes a deed down, which is what is waited for. Its outcome comes when the server answered or is not reached. */
  async record(inspection: string, deed: Deed, more: RecordMore = {}): Promise<{ operation: Operation; replaced: string[]; outcome: Promise<Outcome> }> {
    const { db, newId, now } = this.#parts;
    const { operation, replaced } = await writeDown(db, { id: newId(), inspection, deed, author: this.#parts.author(), newId, doneAt: (more.at ?? now()).toISOString(), photo: more.photo, ...(more.cache ? { cache: more.cache } : {}) });
    const outcome = new Promise<Outcome>((resolve) => this.#waiters.set(operation.id, resolve));
    await this.#count();
    this.#parts.changed([inspection]);
    this.flush();
    return { operation, replaced, outcome };
  }

  /** Sends what waits, unless that is already going on. */
  flush(): void {
    this.#flush('operations');
  }

  /** Somebody has signed in, or asks to send now. */
  tryAgain(): void {
    this.#signedOut = false;
    this.#failures = 0;
    this.flush();
  }

  /** What was unsent when it was last counted: before every word of a change. */
  get left(): Unsent {
    return this.#left;
  }

  /** Counts anew: another page, or the screen, has changed the outbox. */
  async recount(): Promise<Unsent> {
    await this.#count();
    return this.#left;
  }

  /** Resolves once nothing is being sent; true when nothing waits any more. */
  async settled(): Promise<boolean> {
    while (this.#running.operations ?? this.#running.uploads) await Promise.all([this.#running.operations, this.#running.uploads]);
    const left = await unsent(this.#parts.db);
    return left.records === 0 && left.photos === 0;
  }

  /** Resolves once no operation is being sent; true when none waits any more. Bytes may still be on their way. */
  async operationsSettled(): Promise<boolean> {
    while (this.#running.operations) await this.#running.operations;
    return (await unsent(this.#parts.db)).records === 0;
  }

  close(): void {
    this.#closed = true;
    this.#cancelTimer?.();
    this.#cancelTimer = null;
  }

  #flush(lane: Lane): void {
    if (this.#closed) return;
    this.#cancelTimer?.();
    this.#cancelTimer = null;
    if (!this.#parts.online() || this.#signedOut) {
      this.#answerAll({ is: 'waiting' });
      this.#tell();
      return;
    }
    if (this.#running[lane]) {
      this.#again[lane] = true;
      return;
    }
    this.#running[lane] = this.#parts
      .exclusive(`handsel-${lane}`, () => this.#run(lane))
      .finally(() => {
        this.#running[lane] = null;
        this.#tell();
        if (this.#again[lane]) {
          this.#again[lane] = false;
          this.#flush(lane);
        }
      });
    this.#tell();
  }

  /** A fault of this program ends the run and is reported by the page; it is not tried again in a circle. */
  async #run(lane: Lane): Promise<void> {
    try {
      this.#hashed ??= completeHashes(this.#parts.db);
      await this.#hashed;
      if (lane === 'operations') {
        await this.#operations();
        this.#flush('uploads');
      } else {
        await this.#uploads();
      }
      this.#failures = 0;
      this.#stuck = false;
    } catch (error) {
      if (!(error instanceof Unreachable) && !(error instanceof Refused)) throw error;
      this.#stuck = true;
      if (error instanceof Refused && error.problem.status === 401) this.#signedOut = true;
      this.#tell();
      this.#answerAll({ is: 'waiting' });
      this.#wait();
    } finally {
      await this.#count();
    }
  }

  #wait(): void {
    if (this.#closed) return;
    this.#failures += 1;
    this.#cancelTimer?.();
    this.#cancelTimer = this.#parts.later(() => {
      this.#cancelTimer = null;
      this.flush();
    }, pauseAfter(this.#failures, this.#parts.random()));
  }

  async #operations(): Promise<void> {
    const { db, transport, newId, now } = this.#parts;
    let renumbered = false;
    for (;;) {
      if (this.#closed) return;
      const waiting = await nextOperations(db, MOST_OPERATIONS);
      if (waiting.length === 0) return this.#answerKnown();
      const batch = batchOf(waiting, (o) => JSON.stringify(o.deed).length);
      const device = await deviceOf(db, newId);
      const outcomes = await transport.operations(device.id, batch);
      const reading = readOutcomes(batch, outcomes);
      await settle(db, reading.settled, now().toISOString());
      for (const { operation, refused } of reading.settled) {
        this.#answer(operation.id, refused ? { is: 'refused', problem: refused } : { is: 'applied' });
      }
      if (reading.settled.length > 0) {
        this.#failures = 0;
        await this.#count();
        this.#parts.changed([...new Set(reading.settled.map((s) => s.operation.inspection))]);
      }
      if (reading.next.do === 'renumber') {
        // Once is a server restored from a copy; twice in a row is one to be asked again later.
        if (renumbered) throw new Unreachable('the server takes no place in the sequence');
        renumbered = true;
        this.#answerAll({ is: 'waiting' });
        await renumber(db, newId);
      }
      if (reading.next.do === 'wait') throw new Unreachable('the server held everything back');
    }
  }

  async #uploads(): Promise<void> {
    const { db } = this.#parts;
    const queue = (await db.getAll('uploads')).filter((u) => u.announced && u.state === 'waiting');
    let at = 0;
    let failed: unknown = null;
    const work = async () => {
      while (at < queue.length && failed === null && !this.#closed) {
        const upload = queue[at];
        at += 1;
        if (!upload) return;
        try {
          await this.#upload(upload);
        } catch (error) {
          failed = error;
        }
      }
    };
    await Promise.all(Array.from({ length: UPLOADS_AT_ONCE }, work));
    if (failed !== null) throw failed;
    // More may have been announced meanwhile.
    if (queue.length > 0) this.#again.uploads = true;
  }

  async #upload(upload: Upload): Promise<void> {
    const { db, transport, now } = this.#parts;
    const blob = await db.get('blobs', upload.photo);
    if (!blob) {
      await keepUpload(db, upload.photo, { state: 'refused', problem: lost() });
      await this.#count();
      this.#parts.changed([upload.inspection]);
      return;
    }
    try {
      this.#moving.set(upload.photo, upload.sent);
      await transport.upload(upload, blob, {
        at: (url) => keepUpload(db, upload.photo, { url }),
        progress: (sent) => {
          this.#moving.set(upload.photo, sent);
          this.#tell();
        },
      });
      await uploadDone(db, upload.photo, now().toISOString());
      this.#done.photos += 1;
      this.#done.bytes += upload.bytes;
      this.#failures = 0;
    } catch (error) {
      if (!(error instanceof Refused) || isPassing(error.problem)) throw error;
      await keepUpload(db, upload.photo, { state: 'refused', problem: error.problem });
    } finally {
      this.#moving.delete(upload.photo);
    }
    await this.#count();
    this.#parts.changed([upload.inspection]);
  }

  async #count(): Promise<void> {
    this.#left = await unsent(this.#parts.db);
    // The next ones are counted from their own beginning.
    if (this.#left.photos === 0) this.#done = { photos: 0, bytes: 0 };
    this.#tell();
  }

  #tell(): void {
    const moved = [...this.#moving.values()].reduce((a, b) => a + b, 0);
    this.#parts.progress({
      sending: this.#running.operations !== null || this.#running.uploads !== null,
      signedOut: this.#signedOut,
      stuck: this.#stuck,
      photosDone: this.#done.photos,
      photos: this.#done.photos + this.#left.photos,
      bytesDone: this.#done.bytes + moved,
      bytes: this.#done.bytes + this.#left.bytes,
    });
  }

  #answer(id: string, outcome: Outcome): void {
    this.#waiters.get(id)?.(outcome);
    this.#waiters.delete(id);
  }

  /** What another page has sent meanwhile is known from the database. */
  async #answerKnown(): Promise<void> {
    for (const id of [...this.#waiters.keys()]) {
      const operation = await this.#parts.db.get('operations', id);
      if (!operation) this.#answer(id, { is: 'applied' });
      else if (operation.state === 'refused' && operation.problem) this.#answer(id, { is: 'refused', problem: operation.problem });
    }
  }

  #answerAll(outcome: Outcome): void {
    for (const id of [...this.#waiters.keys()]) this.#answer(id, outcome);
  }
}

function lost(): Problem {
  return { status: 410, code: 'photo_lost', title: 'The photograph is no longer on this device', detail: 'The browser has given up its storage. Take the photograph again.', errors: [], more: {} };
}
