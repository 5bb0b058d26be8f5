// What a return with 40 photographs sends, and how long that takes at 1.6 Mbit/s beside what the line alone would take.
import { readFileSync, readdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { expect, test, type Page } from '@playwright/test';
import { everythingSent, goWithin, held, open, phoneContext, sameOnBothEnds, signInAs } from './device';
import { beginWalkRound } from './screens';
import { Direct, Line, TestServer } from './server';

const RATE = 1_600_000 / 8;
const PHOTOS = resolve(import.meta.dirname, '../../fixtures/photos');

let server: TestServer;
let line: Line;
let direct: Direct;

test.beforeAll(async () => {
  test.setTimeout(900_000);
  server = await TestServer.start();
  line = new Line(() => server.port);
  await line.open();
  direct = new Direct(server);
});

test.afterAll(async () => {
  await line.close();
  await server.end();
});

/** A frame as a telephone of 12 megapixels makes it: one of the rendered photographs, enlarged, with grain. */
async function frame(page: Page, file: string, seed: number): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const base64 = await page.evaluate(
    async (given) => {
      const bytes = Uint8Array.from(atob(given.picture), (c) => c.charCodeAt(0));
      const bitmap = await createImageBitmap(new Blob([bytes]));
      const canvas = new OffscreenCanvas(4032, 3024);
      const ink = canvas.getContext('2d');
      if (!ink) throw new Error('no canvas');
      ink.drawImage(bitmap, 0, 0, 4032, 3024);
      const grain = new OffscreenCanvas(1008, 756);
      const dust = grain.getContext('2d');
      if (!dust) throw new Error('no canvas');
      const data = dust.createImageData(1008, 756);
      let state = given.seed >>> 0;
      for (let i = 0; i < data.data.length; i += 4) {
        state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
        const level = state >>> 24;
        data.data.set([level, level, level, 40], i);
      }
      dust.putImageData(data, 0, 0);
      ink.imageSmoothingEnabled = false;
      for (let x = 0; x < 4; x += 1) for (let y = 0; y < 4; y += 1) ink.drawImage(grain, x * 1008, y * 756);
      const blob = await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.93 });
      const out = new Uint8Array(await blob.arrayBuffer());
      let binary = '';
      for (let i = 0; i < out.length; i += 32_768) binary += String.fromCharCode(...out.subarray(i, i + 32_768));
      return btoa(binary);
    },
    { picture: readFileSync(join(PHOTOS, file)).toString('base64'), seed },
  );
  return { name: 'photo.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(base64, 'base64') };
}

test('a return with 40 photographs of 12 megapixels keeps close to what the line can carry', async ({ browser }) => {
  test.setTimeout(1_200_000);
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  await signInAs(page, 'yard', server.password);
  await goWithin(page, `/hires/${(await direct.hire('FW-2080')).id}`);
  await page.getByRole('button', { name: 'Start return' }).click();
  await page.getByRole('link', { name: 'Begin the walk-round' }).waitFor();
  const inspection = /inspections\/([0-9a-f-]{36})/u.exec(page.url())?.[1] ?? '';
  await everythingSent(page);
  await context.setOffline(true);
  await beginWalkRound(page);
  const first = page.url();
  const files = readdirSync(PHOTOS).filter((f) => f.endsWith('.jpg'));
  const frames = [];
  for (let i = 0; i < 5; i += 1) frames.push(await frame(page, files[(i * 7) % files.length] ?? '', i + 1));
  for (let i = 0; i < 40; i += 1) {
    const taken = frames[i % frames.length];
    if (!taken) throw new Error('no frame');
    await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(taken);
    await expect.poll(async () => (await held(page, inspection)).uploads.length, { timeout: 60_000 }).toBe(i + 1);
    expect(page.url()).toBe(first);
  }
  const bytes = await page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((done, failed) => {
      const request = indexedDB.open('handsel');
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
    const all = await new Promise<{ bytes: number }[]>((done, failed) => {
      const request = db.transaction('uploads').objectStore('uploads').getAll();
      request.onsuccess = () => done(request.result as { bytes: number }[]);
      request.onerror = () => failed(request.error);
    });
    db.close();
    return all.reduce((sum, u) => sum + u.bytes, 0);
  });
  line.sent = 0;
  line.rate = RATE;
  const began = Date.now();
  await context.setOffline(false);
  await everythingSent(page, 600_000);
  const seconds = (Date.now() - began) / 1000;
  line.rate = null;
  const bound = bytes / RATE;
  test.info().annotations.push({
    type: 'figures',
    description: `40 photographs ${bytes} bytes; sent in all ${line.sent} bytes; ${seconds.toFixed(1)} s at 1.6 Mbit/s, the line alone ${bound.toFixed(1)} s: ${(seconds / bound).toFixed(3)}`,
  });
  process.stdout.write(`${test.info().annotations.at(-1)?.description ?? ''}\n`);
  await sameOnBothEnds(page, direct, inspection);
  expect(line.sent / bytes).toBeLessThan(1.05);
  expect(seconds / bound).toBeLessThan(1.15);
  await context.close();
});
