// Puts the application together: database, session, server, language, addresses; then shows it.
import { mount } from 'svelte';
import { sessionCalls } from './actions/auth';
import { createApi } from './api/client';
import { createSend, type Tokens } from './api/http';
import App from './App.svelte';
import './app.css';
import { LangState, pickLang, type Lang } from './i18n/index.svelte';
import { PhotoCache } from './state/photos';
import { Router } from './state/router.svelte';
import { SessionState } from './state/session.svelte';
import { openDb } from './store/db';
import { registerWorker } from './sw/register.svelte';

async function start(): Promise<void> {
  const db = await openDb();
  const lang = new LangState();
  await lang.use(((await db.get('kept', 'lang')) as Lang | undefined) ?? pickLang(navigator.languages));

  const origin = location.origin;
  const fetcher = (request: Request) => fetch(request);
  const nobody: Tokens = { access: () => null, renew: () => Promise.resolve(false) };
  const open = createSend({ tokens: nobody, language: () => lang.lang, fetch: fetcher });
  const session = new SessionState(db, sessionCalls(createApi(open, origin)));
  await session.restore();

  const send = createSend({ tokens: session, language: () => lang.lang, fetch: fetcher });
  const app = {
    api: createApi(send, origin),
    send,
    origin,
    db,
    session,
    router: new Router(window),
    lang,
    photos: new PhotoCache(db, send, origin),
  };
  const target = document.getElementById('app');
  if (!target) throw new Error('index.html has no #app');
  mount(App, { target, props: { app, update: registerWorker() } });
}

start().catch((error: unknown) => {
  // Nothing is on the screen yet, not even the words: say it plainly, with what a helper needs to know.
  const note = document.createElement('pre');
  note.textContent = `Handsel could not start. Load the page again. If this stays, tell the office:\n\n${String(error)}`;
  note.style.cssText = 'white-space:pre-wrap;padding:1rem;font:inherit';
  document.body.append(note);
  throw error;
});
