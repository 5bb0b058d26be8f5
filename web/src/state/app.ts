// What every screen may use, put together once in main.ts and handed down.
import { getContext, setContext } from 'svelte';
import type { Api } from '../api/client';
import type { Send } from '../api/http';
import type { LangState } from '../i18n/index.svelte';
import type { Db } from '../store/db';
import type { PhotoCache } from './photos';
import type { Router } from './router.svelte';
import type { SessionState } from './session.svelte';
import type { StorageState } from './storage.svelte';
import type { AheadState } from './ahead';
import type { Loss } from './watch';
import type { SyncState } from './sync.svelte';

export interface App {
  api: Api;
  send: Send;
  origin: string;
  db: Db;
  session: SessionState;
  router: Router;
  lang: LangState;
  photos: PhotoCache;
  sync: SyncState;
  storage: StorageState;
  ahead: AheadState;
  /** What this device had and has no more. */
  loss: Loss;
}

const KEY = Symbol('app');

export function provideApp(app: App): void {
  setContext(KEY, app);
}

export function useApp(): App {
  return getContext<App>(KEY);
}
