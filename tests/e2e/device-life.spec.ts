// The life of the app on a device: a store that is damaged, two tabs, a new version that waits, and being installed.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { expect, test, type Page } from '@playwright/test';
import { everythingSent, held, open, phoneContext, signInAs } from './device';
import { newId } from './long-return';
import { openStep } from './screens';
import { Direct, TestServer } from './server';

let server: TestServer;
let direct: Direct;
let web = '';

test.beforeAll(async () => {
  test.setTimeout(300_000);
  // A copy of the build, so that a later one can take its place.
  web = mkdtempSync(join(tmpdir(), 'handsel-web-'));
  const built = process.env['HANDSEL_WEB'] ?? resolve(import.meta.dirname, '../../web/dist');
  cpSync(built, web, { recursive: true });
  server = await TestServer.start({ HANDSEL_WEB: web });
  direct = new Direct(server);
});
test.afterAll(async () => {
  await server.end();
  rmSync(web, { recursive: true, force: true });
});

async function departure(): Promise<string> {
  const { items } = await direct.get<{ items: { id: string; status: string; departure: string | null }[] }>('/hires?limit=200');
  const hire = items.find((h) => h.status === 'booked');
  if (!hire) throw new Error('no hire is booked');
  if (hire.departure !== null) return hire.departure;
  const id = newId();
  await direct.raw('manager', `/hires/${hire.id}/inspections`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ id, leg: 'departure' }) });
  return id;
}

async function inOrder(page: Page, step: string): Promise<void> {
  await openStep(page, 'Nearside body', step);
  await page.getByRole('contentinfo').getByRole('button', { name: 'In order' }).click();
}

test('a store that is damaged is said plainly, and begun afresh it has what the server has', async ({ browser }) => {
  const inspection = await departure();
  const context = await phoneContext(browser, server.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  await page.goto('/api/openapi.json');
  await page.evaluate(async () => {
    const done = <T>(request: IDBRequest<T>) =>
      new Promise<T>((fine, failed) => {
        request.onsuccess = () => fine(request.result);
        request.onerror = () => failed(request.error);
      });
    await done(indexedDB.deleteDatabase('handsel'));
    const request = indexedDB.open('handsel', 2);
    request.onupgradeneeded = () => void request.result.createObjectStore('kept');
    (await done(request)).close();
  });
  await page.goto('/');
  await expect(page.getByRole('heading', { name: 'The store of this device cannot be opened.' })).toBeVisible();
  await expect(page.getByText(/What was not sent may be lost/u)).toBeVisible();
  page.once('dialog', (dialog) => void dialog.accept());
  await page.getByRole('button', { name: 'Begin afresh' }).click();
  await signInAs(page, 'desk', server.password);
  await page.goto(`/inspections/${inspection}`);
  await expect(page.getByRole('link', { name: /walk-round$/u })).toBeVisible();
  await context.close();
});

test('of two tabs one sends, and the other is told', async ({ browser }) => {
  const inspection = await departure();
  const context = await phoneContext(browser, server.url);
  const one = await open(context);
  await signInAs(one, 'desk', server.password);
  const two = await open(context);
  for (const page of [one, two]) {
    await page.goto(`/inspections/${inspection}`);
    await expect(page.getByRole('link', { name: /walk-round$/u })).toBeVisible();
  }
  const before = await direct.get<{ entries: { id: string }[] }>(`/inspections/${inspection}`);
  await context.setOffline(true);
  await inOrder(one, 'Mains inlet');
  await expect(two.getByText('1 record on this device, not sent yet.')).toBeVisible();
  await context.setOffline(false);
  await everythingSent(two);
  for (const page of [one, two]) await expect(page.getByText('Everything is with the server.')).toBeVisible();
  // What the other one shows is the answer itself, without loading anything anew.
  await two.locator('summary').filter({ hasText: 'Nearside body' }).click();
  await expect(two.getByRole('link', { name: /^Mains inlet/u })).toContainText('done');
  const after = await direct.get<{ entries: { id: string }[] }>(`/inspections/${inspection}`);
  expect(after.entries.length).toBe(before.entries.length + 1);
  await context.close();
});

test('a new version waits while something is not sent, and takes nothing with it when it is loaded', async ({ browser }) => {
  const inspection = await departure();
  const context = await phoneContext(browser, server.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  await page.goto(`/inspections/${inspection}`);
  await expect(page.getByRole('link', { name: /walk-round$/u })).toBeVisible();
  // Everything is let through but what is recorded: so it stays on the device.
  await page.route('**/api/v1/operations', (route) => route.abort());
  await inOrder(page, 'Fresh-water drain tap');
  await expect.poll(async () => (await held(page, inspection)).operations.length).toBe(1);
  const worker = join(web, 'worker.js');
  writeFileSync(worker, `${readFileSync(worker, 'utf8')}\n// a later build\n`);
  await page.evaluate(async () => (await navigator.serviceWorker.getRegistration())?.update());
  const notice = page.getByRole('status').filter({ hasText: '1 item is not sent yet; it stays on this device.' });
  await expect(notice).toBeVisible({ timeout: 30_000 });
  // Nothing happens by itself, and "later" is an answer.
  await notice.getByRole('button', { name: 'Later' }).click();
  await expect(notice).toBeHidden();
  await page.reload();
  await expect(notice).toBeVisible({ timeout: 30_000 });
  await Promise.all([page.waitForEvent('load'), notice.getByRole('button', { name: 'Load it all the same' }).click()]);
  await expect(notice).toBeHidden();
  expect((await held(page, inspection)).operations.length).toBe(1);
  await page.unroute('**/api/v1/operations');
  await page.reload();
  await everythingSent(page);
  await context.close();
});

test('it can be installed, and asks for it when the browser offers it', async ({ browser }) => {
  const context = await phoneContext(browser, server.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  const cdp = await context.newCDPSession(page);
  const { errors, data } = (await cdp.send('Page.getAppManifest')) as { errors: unknown[]; data?: string };
  expect(errors).toEqual([]);
  const manifest = JSON.parse(data ?? '{}') as { name: string; display: string; start_url: string; icons: { src: string; sizes: string; purpose: string }[]; screenshots: { src: string; sizes: string }[]; shortcuts: { url: string }[] };
  expect(manifest).toMatchObject({ name: 'Handsel', display: 'standalone' });
  expect(manifest.icons.map((i) => i.purpose)).toContain('maskable');
  for (const picture of [...manifest.icons, ...manifest.screenshots]) {
    const size = await page.evaluate(async (src) => {
      const image = new Image();
      image.src = src;
      await image.decode();
      return `${image.naturalWidth}x${image.naturalHeight}`;
    }, picture.src);
    if (picture.sizes !== 'any') expect(size, picture.src).toBe(picture.sizes);
  }
  for (const place of [manifest.start_url, ...manifest.shortcuts.map((s) => s.url)]) expect((await page.request.get(place)).ok(), place).toBe(true);

  await page.goto('/device');
  await expect(page.getByRole('heading', { name: 'Install Handsel' })).toBeVisible();
  const kept = await page.evaluate(() => {
    const asked: string[] = [];
    const offer = Object.assign(new Event('beforeinstallprompt', { cancelable: true }), {
      prompt: () => Promise.resolve(void asked.push('asked')),
      userChoice: Promise.resolve({ outcome: 'accepted' }),
    });
    Object.assign(window, { asked });
    window.dispatchEvent(offer);
    return offer.defaultPrevented;
  });
  expect(kept).toBe(true);
  await page.getByRole('button', { name: 'Install', exact: true }).click();
  expect(await page.evaluate(() => (window as unknown as { asked: string[] }).asked)).toEqual(['asked']);
  // An offer is good for once.
  await expect(page.getByRole('button', { name: 'Install', exact: true })).toBeHidden();
  await context.close();
});
