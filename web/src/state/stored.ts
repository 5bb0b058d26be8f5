// What the server says, kept on the device; and without a signal, what it said last.
import { Refused, Unreachable } from '../api/problem';
import { recall, remember, type Db } from '../store/db';

/** A signal that carries nothing is worse than none: after this long, what is on the device is shown. */
const PATIENCE_MS = 4_000;

export interface Stored<T> {
  value: T;
  /** When the server said so, if it was not now. */
  at: string | null;
}

/** The server cannot be asked just now: not reached, or it wants somebody to sign in again first. */
export function cannotAsk(error: unknown): boolean {
  return error instanceof Unreachable || (error instanceof Refused && error.problem.status === 401);
}

export async function stored<T>(db: Db, key: string, fetch: () => Promise<T>): Promise<Stored<T>> {
  const kept = await recall<T>(db, key);
  const asked = fetch().then(async (value) => {
    await remember(db, key, value);
    return value;
  });
  if (!kept) return { value: await asked, at: null };
  const old: Stored<T> = { value: kept.value, at: kept.at };
  const answer = asked.then(
    (value): Stored<T> => ({ value, at: null }),
    (error: unknown) => {
      if (!cannotAsk(error)) throw error;
      return old;
    },
  );
  // A no that comes too late for this screen is told to whoever asks next.
  return Promise.race([answer, patience(old)]);
}

function patience<T>(value: T): Promise<T> {
  return new Promise((resolve) => setTimeout(() => resolve(value), PATIENCE_MS));
}
