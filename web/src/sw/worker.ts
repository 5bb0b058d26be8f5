/// <reference lib="webworker" />
// The worker that keeps the application on the device: the shell is stored at install, pages come from it with or
// without a signal. Answers of the server are not kept here; what must survive is in the device's database.
import { cleanupOutdatedCaches, createHandlerBoundToURL, precacheAndRoute } from 'workbox-precaching';
import { NavigationRoute, registerRoute } from 'workbox-routing';

declare const self: ServiceWorkerGlobalScope & { __WB_MANIFEST: { url: string; revision: string | null }[] };

cleanupOutdatedCaches();
precacheAndRoute(self.__WB_MANIFEST);
registerRoute(
  new NavigationRoute(createHandlerBoundToURL('/index.html'), { denylist: [/^\/api\//u, /^\/(healthz|readyz|metrics)$/u] }),
);

// The server's answers never come from here, so where the browser can be told it does not ask: nothing waits for this
// worker to start, and a request that is under way does not keep it from making room for the next version.
interface Routes {
  addRoutes(rules: { condition: { urlPattern: { pathname: string } }; source: 'network' }[]): Promise<void>;
}
self.addEventListener('install', (event) => {
  if ('addRoutes' in event)
    event.waitUntil((event as ExtendableEvent & Routes).addRoutes([{ condition: { urlPattern: { pathname: '/api/*' } }, source: 'network' }]));
});

// The page that installed it is served by it at once: the signal may be gone before the next one is opened.
self.addEventListener('activate', (event) => event.waitUntil(self.clients.claim()));

self.addEventListener('message', (event) => {
  if ((event.data as { type?: string } | null)?.type === 'take-over') void self.skipWaiting();
});
