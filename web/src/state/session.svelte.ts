// Who is signed in. The refresh token is used once and replaced by the next; using one twice ends the session, so
// renewing happens once at a time, in this page (one shared promise) and across pages (a lock and the stored token).
import type { Session, Staff } from '../api/types';
import { Refused } from '../api/problem';
import type { Tokens } from '../api/http';
import type { Db } from '../store/db';

export interface SessionCalls {
  login(email: string, password: string): Promise<Session>;
  refresh(refreshToken: string): Promise<Session>;
  logout(refreshToken: string): Promise<void>;
}

type Exclusive = <T>(work: () => Promise<T>) => Promise<T>;

/** One page at a time, where the browser can do that. */
const acrossPages: Exclusive = async (work) => {
  if (!('locks' in navigator)) return work();
  return await navigator.locks.request('handsel-session', async () => work());
};

export class SessionState implements Tokens {
  session = $state.raw<Session | null>(null);
  /** The session could not be renewed: nothing on the device is touched, and recording goes on. */
  ended = $state(false);
  /** Who was signed in when it ended. */
  #last = $state.raw<Staff | null>(null);
  #renewing: Promise<boolean> | null = null;

  constructor(
    private readonly db: Db,
    private readonly calls: SessionCalls,
    private readonly exclusive: Exclusive = acrossPages,
  ) {}

  get staff(): Staff | null {
    return this.session?.staff ?? this.#last;
  }

  /** Somebody is at work here, signed in or to sign in again. */
  get atWork(): boolean {
    return this.staff !== null;
  }

  async restore(): Promise<void> {
    this.session = ((await this.db.get('kept', 'session')) as Session | undefined) ?? null;
    this.#last = this.session ? null : (((await this.db.get('kept', 'ended')) as Staff | undefined) ?? null);
    this.ended = this.#last !== null;
  }

  async login(email: string, password: string): Promise<void> {
    await this.#keep(await this.calls.login(email, password));
  }

  async logout(): Promise<void> {
    const session = this.session;
    await this.#keep(null);
    if (session) await this.calls.logout(session.refresh_token);
  }

  access(): string | null {
    return this.session?.access_token ?? null;
  }

  renew(stale: string): Promise<boolean> {
    // Somebody else renewed it between the request and its refusal.
    if (this.session !== null && this.session.access_token !== stale) return Promise.resolve(true);
    this.#renewing ??= this.exclusive(() => this.#renew(stale)).finally(() => {
      this.#renewing = null;
    });
    return this.#renewing;
  }

  async #renew(stale: string): Promise<boolean> {
    const stored = ((await this.db.get('kept', 'session')) as Session | undefined) ?? null;
    if (stored === null) {
      // Another page has signed out, or its session has ended.
      await this.restore();
      return false;
    }
    if (stored.access_token !== stale) {
      this.session = stored;
      return true;
    }
    try {
      await this.#keep(await this.calls.refresh(stored.refresh_token));
      return true;
    } catch (error) {
      // Only the server's own no ends a session; a lost connection does not.
      if (error instanceof Refused && error.problem.status === 401) {
        await this.#end(stored.staff);
        return false;
      }
      throw error;
    }
  }

  async #end(staff: Staff): Promise<void> {
    const tx = this.db.transaction('kept', 'readwrite');
    await tx.store.delete('session');
    await tx.store.put(staff, 'ended');
    await tx.done;
    this.#last = staff;
    this.session = null;
    this.ended = true;
  }

  async #keep(session: Session | null): Promise<void> {
    const tx = this.db.transaction('kept', 'readwrite');
    if (session === null) await tx.store.delete('session');
    else await tx.store.put(session, 'session');
    await tx.store.delete('ended');
    await tx.done;
    this.session = session;
    this.#last = null;
    this.ended = false;
  }
}
