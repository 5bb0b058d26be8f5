// When what the yard will need is fetched ahead: after signing in, with a signal coming back, and now and then.
import type { Api } from '../api/client';
import type { Send } from '../api/http';
import { recall, type Db } from '../store/db';
import type { AheadDone } from '../sync/ahead';
import type { Exclusive } from '../sync/engine';
import { cannotAsk } from './stored';
import type { SessionState } from './session.svelte';
import type { StorageState } from './storage.svelte';

/** Often enough for a hire booked this morning, seldom enough not to cost a battery. */
const EVERY_MS = 10 * 60_000;
/** Not in the way of the first screen. */
const AFTER_MS = 1_500;

interface Parts {
  api: Api;
  send: Send;
  origin: string;
  db: Db;
  session: SessionState;
  storage: StorageState;
  exclusive: Exclusive;
}

export class AheadState {
  #lastAt = 0;
  #timer: ReturnType<typeof setTimeout> | null = null;
  #running: Promise<AheadDone | null> | null = null;

  constructor(private readonly parts: Parts) {}

  /** Fetches once the first screen is up, unless that was done a moment ago. */
  soon(): void {
    if (this.#timer !== null || Date.now() - this.#lastAt < EVERY_MS) return;
    this.#timer = setTimeout(() => {
      this.#timer = null;
      this.#unlessFresh().catch((error: unknown) => {
        // No signal after all: it is fetched with the next one.
        if (!cannotAsk(error)) reportError(error);
      });
    }, AFTER_MS);
  }

  /** A page that is loaded anew finds what an earlier one has fetched. */
  async #unlessFresh(): Promise<void> {
    const { session, db } = this.parts;
    if (!navigator.onLine || session.session === null) return;
    const last = await recall<AheadDone>(db, 'ahead');
    if (last && last.value.depot === (session.staff?.depot ?? null) && Date.now() - Date.parse(last.value.at) < EVERY_MS) {
      this.#lastAt = Date.parse(last.value.at);
      return;
    }
    await this.now();
  }

  now(): Promise<AheadDone | null> {
    this.#running ??= this.#run().finally(() => {
      this.#running = null;
    });
    return this.#running;
  }

  async #run(): Promise<AheadDone | null> {
    const { pullAhead } = await import('../sync/ahead');
    const { session, storage, exclusive } = this.parts;
    let done: AheadDone | null = null;
    await exclusive('handsel-ahead', async () => {
      done = await pullAhead({ ...this.parts, now: () => new Date(), depot: session.staff?.depot ?? null, room: () => !storage.low && !storage.full });
    });
    this.#lastAt = Date.now();
    await storage.measure();
    return done;
  }
}
