// Forms keep what is typed in the database, so that a failed request, a reload or an empty battery loses nothing.
import type { Db } from './db';

export async function loadDraft<T>(db: Db, key: string): Promise<T | null> {
  const draft = await db.get('drafts', key);
  return draft ? (draft.value as T) : null;
}

export async function saveDraft(db: Db, key: string, value: unknown): Promise<void> {
  // Reactive proxies cannot be stored; their plain content can.
  await db.put('drafts', { key, value: JSON.parse(JSON.stringify(value)) as unknown, at: new Date().toISOString() });
}

export async function clearDraft(db: Db, key: string): Promise<void> {
  await db.delete('drafts', key);
}
