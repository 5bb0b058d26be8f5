// Registers the worker that keeps the application on the device. A new version waits until a person loads it, so
// that it never changes under somebody's hands.

export class Update {
  ready = $state(false);
  asked = $state(false);
  waiting: ServiceWorker | null = null;

  /** Asks the new version to take over; the page loads anew once it has. That is at once, or, where a browser lets the
   * present worker come to rest first, after up to half a minute. */
  load(): void {
    this.asked = true;
    this.waiting?.postMessage({ type: 'take-over' });
  }
}

export function registerWorker(): Update {
  const update = new Update();
  if (!('serviceWorker' in navigator) || import.meta.env.DEV) return update;
  const offer = (worker: ServiceWorker | null) => {
    // Without a controller this is the first install, and there is nothing to replace.
    if (!worker || !navigator.serviceWorker.controller) return;
    update.waiting = worker;
    update.ready = true;
  };
  navigator.serviceWorker
    .register('/worker.js')
    .then((registration) => {
      offer(registration.waiting);
      registration.addEventListener('updatefound', () => {
        const worker = registration.installing;
        worker?.addEventListener('statechange', () => {
          if (worker.state === 'installed') offer(worker);
        });
      });
      navigator.serviceWorker.addEventListener('controllerchange', () => {
        if (update.ready) location.reload();
      });
    })
    .catch((error: unknown) => {
      // The application works without it, only not without a signal; the browser's own log says why.
      reportError(error);
    });
  return update;
}
