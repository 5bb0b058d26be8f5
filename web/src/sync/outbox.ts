// The way of deeds from this device to the server: written down first, then sent one after the other in the order
// they were done. What cannot be sent waits; what is refused stays, with the server's words, until a person decides.
import { Refused, Unreachable, type Problem } from '../api/problem';
import { subjectOf, type Deed } from '../domain/deeds';
import { addOperation, operationsOf, removeOperation, type Db, type Operation } from '../store/db';

export type Outcome = { is: 'applied' } | { is: 'refused'; problem: Problem } | { is: 'waiting' };

export interface OutboxParts {
  db: Db;
  inspection: string;
  /** Sends one operation; throws `Refused` or `Unreachable`. */
  send(operation: Operation, photo: Blob | undefined): Promise<void>;
  newId(): string;
  now(): Date;
  /** The operations changed, and this one, if any, is now part of what the server knows. */
  changed(operations: readonly Operation[], applied: Deed | null): void;
  busy?(busy: boolean): void;
}

const FIRST_PAUSE = 2_000;
const LONGEST_PAUSE = 60_000;

export class Outbox {
  #operations: Operation[] = [];
  #running: Promise<void> | null = null;
  #pause = FIRST_PAUSE;
  #timer: ReturnType<typeof setTimeout> | null = null;
  readonly #waiters = new Map<string, (outcome: Outcome) => void>();
  readonly #parts: OutboxParts;

  constructor(parts: OutboxParts) {
    this.#parts = parts;
  }

  get operations(): readonly Operation[] {
    return this.#operations;
  }

  async load(): Promise<void> {
    this.#operations = await operationsOf(this.#parts.db, this.#parts.inspection);
    this.#parts.changed(this.#operations, null);
    this.flush();
  }

  /**
   * Writes a deed down, which is what is waited for, and sends it. Its outcome comes when the server answered, or
   * when it turns out not to be reached.
   */
  async record(deed: Deed, photo?: Blob): Promise<{ outcome: Promise<Outcome> }> {
    const { db, inspection } = this.#parts;
    // A new answer takes the place of a refused one on the same subject.
    for (const old of this.#operations.filter((o) => o.state === 'refused' && subjectOf(o.deed) === subjectOf(deed))) {
      await removeOperation(db, old);
      this.#operations = this.#operations.filter((o) => o !== old);
    }
    const operation: Operation = {
      id: this.#parts.newId(),
      inspection,
      deed,
      doneAt: this.#parts.now().toISOString(),
      state: 'waiting',
    };
    await addOperation(db, operation, photo);
    this.#operations = [...this.#operations, operation];
    this.#parts.changed(this.#operations, null);
    const outcome = new Promise<Outcome>((resolve) => this.#waiters.set(operation.id, resolve));
    this.flush();
    return { outcome };
  }

  /** Sends what waits, unless that is already going on. */
  flush(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
    if (this.#running) return;
    this.#parts.busy?.(true);
    this.#running = this.#run().finally(() => {
      this.#running = null;
      this.#parts.busy?.(false);
    });
    // A fault of this program ends the run and is reported by the page; it must not be tried again in a circle.
    void this.#running.then(() => {
      // Something may have been written down after the last look.
      if (this.#timer === null && this.#operations.some((o) => o.state === 'waiting')) this.flush();
    });
  }

  /** Sends refused ones again too: something may have been put right elsewhere. */
  async retry(): Promise<void> {
    for (const operation of this.#operations.filter((o) => o.state === 'refused')) {
      const again: Operation = { id: operation.id, inspection: operation.inspection, deed: operation.deed, doneAt: operation.doneAt, state: 'waiting' };
      await addOperation(this.#parts.db, again);
      this.#replace(again);
    }
    this.#pause = FIRST_PAUSE;
    this.flush();
    await this.#running;
  }

  /** A person lets a refused deed go. */
  async letGo(id: string): Promise<void> {
    const operation = this.#operations.find((o) => o.id === id && o.state === 'refused');
    if (!operation) throw new Error(`no refused operation ${id}`);
    await removeOperation(this.#parts.db, operation);
    this.#operations = this.#operations.filter((o) => o.id !== id);
    this.#parts.changed(this.#operations, null);
  }

  /** Resolves once nothing is being sent; true when nothing waits any more. */
  async settled(): Promise<boolean> {
    while (this.#running) await this.#running;
    return !this.#operations.some((o) => o.state === 'waiting');
  }

  close(): void {
    if (this.#timer !== null) clearTimeout(this.#timer);
    this.#timer = null;
  }

  #replace(operation: Operation): void {
    this.#operations = this.#operations.map((o) => (o.id === operation.id ? operation : o));
    this.#parts.changed(this.#operations, null);
  }

  async #run(): Promise<void> {
    for (;;) {
      const next = this.#operations.find((o) => o.state === 'waiting');
      if (!next) return;
      try {
        const photo = next.deed.kind === 'photo' ? await this.#parts.db.get('blobs', next.deed.id) : undefined;
        await this.#parts.send(next, photo);
        await removeOperation(this.#parts.db, next);
        this.#operations = this.#operations.filter((o) => o.id !== next.id);
        this.#pause = FIRST_PAUSE;
        this.#parts.changed(this.#operations, next.deed);
        this.#answer(next.id, { is: 'applied' });
      } catch (error) {
        if (error instanceof Refused && !isPassing(error.problem)) {
          const refused: Operation = { ...next, state: 'refused', problem: error.problem };
          await addOperation(this.#parts.db, refused);
          this.#replace(refused);
          this.#answer(next.id, { is: 'refused', problem: error.problem });
        } else if (error instanceof Unreachable || error instanceof Refused) {
          this.#waitAndGoOn();
          return;
        } else {
          throw error;
        }
      }
    }
  }

  #waitAndGoOn(): void {
    for (const id of [...this.#waiters.keys()]) this.#answer(id, { is: 'waiting' });
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.flush();
    }, this.#pause);
    this.#pause = Math.min(this.#pause * 2, LONGEST_PAUSE);
  }

  #answer(id: string, outcome: Outcome): void {
    this.#waiters.get(id)?.(outcome);
    this.#waiters.delete(id);
  }
}

/** Refusals that say nothing about the deed itself: signed out, throttled, or a server in trouble. */
function isPassing(problem: Problem): boolean {
  return problem.status === 401 || problem.status === 429 || problem.status >= 500;
}
