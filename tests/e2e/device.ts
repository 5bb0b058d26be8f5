// What a device has, read where its screens read it; and a person with one in the hand.
import { createHash } from 'node:crypto';
import { devices, expect, type Browser, type BrowserContext, type Page } from '@playwright/test';
import type { Direct } from './server';

export interface Held {
  view: {
    id: string;
    status: string;
    entries: { id: string; checkpoint: string; answer: unknown; note?: string }[];
    photos: { id: string; sha256: string; arrived?: boolean }[];
    marks: { id: string }[];
    signatures: { role: string; record_sha256?: string }[];
    briefings: { topic: string; acknowledged_at?: string }[];
    handed_over_at: string | null;
  } | null;
  operations: { id: string; state: string; deed: { kind: string; id?: string; sha256?: string }; problem?: { code: string; detail: string } }[];
  uploads: { photo: string; state: string }[];
  blobs: number;
  receipts: number;
}

export async function held(page: Page, inspection: string): Promise<Held> {
  return page.evaluate(async (id) => {
    const db = await new Promise<IDBDatabase>((done, failed) => {
      const request = indexedDB.open('handsel');
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
    const tx = db.transaction(['cache', 'operations', 'uploads', 'blobs', 'receipts']);
    const read = <T>(request: IDBRequest<T>) =>
      new Promise<T>((done, failed) => {
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
    const cached = (await read(tx.objectStore('cache').get(`inspection/${id}`))) as { value: unknown } | undefined;
    const answer = {
      view: cached?.value ?? null,
      operations: await read(tx.objectStore('operations').getAll()),
      uploads: await read(tx.objectStore('uploads').getAll()),
      blobs: await read(tx.objectStore('blobs').count()),
      receipts: await read(tx.objectStore('receipts').count()),
    };
    db.close();
    return answer;
  }, inspection) as Promise<Held>;
}

export async function phoneContext(browser: Browser, url: string, more: Parameters<Browser['newContext']>[0] = {}): Promise<BrowserContext> {
  return browser.newContext({ ...devices['Pixel 7'], viewport: { width: 390, height: 844 }, locale: 'en-GB', baseURL: url, ...more });
}

export async function open(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  return page;
}

export async function signInAs(page: Page, who: string, password: string): Promise<void> {
  await page.goto('/sign-in');
  await page.getByLabel('Email').fill(`${who}@fernway.example`);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Today' })).toBeVisible();
  // The application is on the device.
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
}

/** Waits until the shell is on the device and what the yard needs has been fetched. */
export async function fetchedAhead(page: Page): Promise<void> {
  await page.goto('/device');
  await page.getByRole('button', { name: 'Fetch ahead now' }).click();
  await expect(page.getByText(/hires? fetched ahead on/u)).toBeVisible({ timeout: 120_000 });
  await expect(page.getByRole('button', { name: 'Fetch ahead now' })).toBeEnabled({ timeout: 120_000 });
}

/** To another screen as a tap on a link goes there: without loading the page anew. */
export async function goWithin(page: Page, path: string): Promise<void> {
  await page.evaluate((to) => {
    history.pushState(null, '', to);
    dispatchEvent(new PopStateEvent('popstate'));
  }, path);
}

/** Everything this device has recorded is with the server, once, and byte for byte. */
export async function sameOnBothEnds(page: Page, direct: Direct, inspection: string): Promise<Held> {
  const device = await held(page, inspection);
  expect(device.operations.filter((o) => o.state === 'refused').map((o) => `${o.deed.kind}: ${o.problem?.code} ${o.problem?.detail}`)).toEqual([]);
  expect(device.operations).toEqual([]);
  expect(device.uploads).toEqual([]);
  expect(device.blobs).toBe(0);
  const server = await direct.get<NonNullable<Held['view']>>(`/inspections/${inspection}`);
  const view = device.view;
  if (!view) throw new Error('the device has no view of the inspection');
  const sorted = <T extends { id: string }>(items: T[]) => [...items].sort((a, b) => a.id.localeCompare(b.id));
  const answers = (v: typeof view) => sorted(v.entries).map((e) => [e.id, e.checkpoint, JSON.stringify(e.answer), e.note ?? null]);
  expect(answers(server)).toEqual(answers(view));
  expect(sorted(server.photos).map((p) => [p.id, p.sha256])).toEqual(sorted(view.photos).map((p) => [p.id, p.sha256]));
  expect(sorted(server.marks).map((m) => m.id)).toEqual(sorted(view.marks).map((m) => m.id));
  expect(server.handed_over_at === null).toBe(view.handed_over_at === null);
  for (const photo of server.photos) {
    const bytes = Buffer.from(await (await direct.raw('manager', `/photos/${photo.id}/original`)).arrayBuffer());
    expect(createHash('sha256').update(bytes).digest('hex'), photo.id).toBe(photo.sha256);
  }
  return device;
}

export async function everythingSent(page: Page, timeout = 120_000): Promise<void> {
  await expect(async () => {
    const left = await page.evaluate(async () => {
      const db = await new Promise<IDBDatabase>((done, failed) => {
        const request = indexedDB.open('handsel');
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
      const tx = db.transaction(['operations', 'uploads']);
      const count = (name: string) =>
        new Promise<number>((done, failed) => {
          const request = tx.objectStore(name).count();
          request.onsuccess = () => done(request.result);
          request.onerror = () => failed(request.error);
        });
      const sum = (await count('operations')) + (await count('uploads'));
      db.close();
      return sum;
    });
    expect(left).toBe(0);
  }).toPass({ timeout, intervals: [250] });
}
