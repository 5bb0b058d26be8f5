// Puts the application together: database, session, server, language, addresses; then shows it.
import { mount } from 'svelte';
import { sessionCalls } from './actions/auth';
import { createApi } from './api/client';
import { createSend, type Tokens } from './api/http';
import App from './App.svelte';
import './app.css';
import { newId } from './domain/ids';
import { LangState, loadWords, pickLang, type Lang } from './i18n/index.svelte';
import { AheadState } from './state/ahead';
import { PhotoCache } from './state/photos';
import { Router } from './state/router.svelte';
import { SessionState } from './state/session.svelte';
import { StorageState, type InstallOffer } from './state/storage.svelte';
import { SyncState } from './state/sync.svelte';
import { compare, keepNote } from './state/watch';
import { openDb, type Db } from './store/db';
import { deviceOf } from './store/outbox';
import { registerWorker } from './sw/register.svelte';
import { HttpTransport } from './sync/http';
import type { Exclusive } from './sync/engine';

/** One page of this browser at a time. */
const exclusive: Exclusive = async (name, work) => {
  if (!('locks' in navigator)) return work();
  await navigator.locks.request(name, work);
};

function target(): HTMLElement {
  const found = document.getElementById('app');
  if (!found) throw new Error('index.html has no #app');
  return found;
}

/** Says something plainly where there is no application yet to say it in. */
function say(title: string, paragraphs: readonly string[], button?: { label: string; press: () => void }): void {
  const box = document.createElement('main');
  box.className = 'stack plain';
  box.setAttribute('role', 'alert');
  const heading = document.createElement('h1');
  heading.textContent = title;
  box.append(heading);
  for (const words of paragraphs) {
    const p = document.createElement('p');
    p.textContent = words;
    box.append(p);
  }
  if (button) {
    const press = document.createElement('button');
    press.type = 'button';
    press.className = 'primary';
    press.textContent = button.label;
    press.addEventListener('click', button.press);
    box.append(press);
  }
  target().replaceChildren(box);
}

async function openOrSay(lang: Lang): Promise<Db | null> {
  const t = (await loadWords(lang)).device;
  const reload = { label: t.reload, press: () => location.reload() };
  try {
    return await openDb({
      newId,
      blocked: () => say(t.blockedTitle, [t.blockedWhat]),
      blocking: () => say(t.newerTitle, [t.newerWhat], reload),
      terminated: () => say(t.closedTitle, [t.closedWhat], reload),
    });
  } catch (error) {
    say(t.damagedTitle, [t.damagedWhat, t.damagedRecover, String(error)], {
      label: t.damagedGo,
      press: () => {
        if (!window.confirm(t.damagedSure)) return;
        const request = indexedDB.deleteDatabase('handsel');
        request.onsuccess = () => location.reload();
        request.onerror = () => say(t.damagedTitle, [t.damagedClear, String(request.error)], reload);
      },
    });
    return null;
  }
}

async function start(): Promise<void> {
  const browserLang = pickLang(navigator.languages);
  const db = await openOrSay(browserLang);
  if (!db) return;
  const lang = new LangState();
  await lang.use(((await db.get('kept', 'lang')) as Lang | undefined) ?? browserLang);

  const origin = location.origin;
  const fetcher = (request: Request) => fetch(request);
  const nobody: Tokens = { access: () => null, renew: () => Promise.resolve(false) };
  const open = createSend({ tokens: nobody, language: () => lang.lang, fetch: fetcher });
  const session = new SessionState(db, sessionCalls(createApi(open, origin)));
  await session.restore();
  const device = await deviceOf(db, newId);
  const loss = compare(localStorage, device.id);

  const send = createSend({ tokens: session, language: () => lang.lang, fetch: fetcher });
  const storage = new StorageState(db, {
    storage: 'storage' in navigator ? navigator.storage : undefined,
    userAgent: navigator.userAgent,
    standalone: matchMedia('(display-mode: standalone)').matches,
  });
  const sync = new SyncState({
    db,
    transport: new HttpTransport(send, origin, session),
    exclusive,
    newId,
    now: () => new Date(),
    author: () => session.staff?.id ?? null,
    random: () => (crypto.getRandomValues(new Uint32Array(1))[0] ?? 0) / 2 ** 32,
    online: () => navigator.onLine && session.session !== null,
    later: (work, ms) => {
      const timer = setTimeout(work, ms);
      return () => clearTimeout(timer);
    },
    storage,
    channel: 'BroadcastChannel' in window ? new BroadcastChannel('handsel') : null,
    // The device may have taken another name since.
    note: (unsent) => void deviceOf(db, newId).then((now) => keepNote(localStorage, now.id, unsent)),
  });
  const api = createApi(send, origin);
  const ahead = new AheadState({ api, send, origin, db, session, storage, exclusive });
  const app = {
    api,
    send,
    origin,
    db,
    session,
    router: new Router(window),
    lang,
    photos: new PhotoCache(db, send, origin),
    sync,
    storage,
    ahead,
    loss,
  };
  window.addEventListener('beforeinstallprompt', (event) => {
    event.preventDefault();
    storage.offer = event as InstallOffer;
  });
  window.addEventListener('online', () => {
    sync.tryAgain();
    ahead.soon();
  });
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'visible') sync.tryAgain();
  });
  mount(App, { target: target(), props: { app, update: registerWorker() } });
  await sync.begin();
  await storage.watch();
}

start().catch((error: unknown) => {
  // Nothing is on the screen yet, not even the words: say it plainly, with what has to be told.
  say('Handsel could not start.', ['Load the page again. If this stays, tell the office:', String(error)], {
    label: 'Load the page again',
    press: () => location.reload(),
  });
  throw error;
});
