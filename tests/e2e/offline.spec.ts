// The yard without a signal: nothing is lost, nothing is done twice, and what happens is said. Against a server of its
// own, which is killed, and over a line that is cut.
import { expect, test, type BrowserContext, type Page } from '@playwright/test';
import { everythingSent, fetchedAhead, goWithin, held, open, phoneContext, sameOnBothEnds, signInAs } from './device';
import { answerOne, beginWalkRound, openStep, photograph, sign } from './screens';
import { seeded } from './seeded';
import { Direct, Line, TestServer } from './server';

test.describe.configure({ mode: 'default' });

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

test.afterEach(() => line.mend());

const inspectionOf = (page: Page) => /\/inspections\/([0-9a-f-]{36})/u.exec(page.url())?.[1] ?? '';

/** Opens a hire, from the list of the day where it stands in it, and begins or goes on with its walk-round. */
async function begin(page: Page, reference: string, leg: 'departure' | 'return', listed = false): Promise<string> {
  if (listed) {
    await goWithin(page, '/today');
    await page.getByRole('link', { name: new RegExp(reference) }).first().click();
  } else {
    await goWithin(page, `/hires/${(await direct.hire(reference)).id}`);
  }
  await page.getByRole('button', { name: new RegExp(`^(Start|Continue) ${leg}$`) }).click();
  await expect(page).toHaveURL(/\/inspections\/[0-9a-f-]{36}$/u);
  await expect(page.getByRole('link', { name: /walk-round$/ })).toBeVisible();
  return inspectionOf(page);
}

async function offline(context: BrowserContext, is: boolean): Promise<void> {
  await context.setOffline(is);
}

test('a whole departure without a signal, from a cold start to the signature, reaches the server once', async ({ browser }) => {
  test.setTimeout(900_000);
  const context = await phoneContext(browser, line.url);
  let page = await open(context);
  await signInAs(page, 'desk', server.password);
  await fetchedAhead(page);
  const picture = await photograph(page, 'without a signal');
  await page.close();
  await offline(context, true);
  line.cut();

  // The phone is started without a signal: everything comes from the device.
  page = await open(context);
  await page.goto('/');
  await expect(page.getByRole('heading', { level: 1, name: 'Today' })).toBeVisible();
  await expect(page.getByText(/^No signal: this is what was known/u)).toBeVisible();
  const inspection = await begin(page, 'FW-2083', 'departure', true);
  await expect(page.getByText('Begun on this device; the server does not know of it yet.')).toBeVisible();
  await beginWalkRound(page);
  let steps = 0;
  while (await answerOne(page, { odometer: '48213', fuel: { part: 8, percent: '100' }, gross: '13.9' }, picture)) steps += 1;
  expect(steps).toBeGreaterThan(100);
  await expect(page.getByText(/\d+ records and \d+ photographs on this device, not sent yet/u)).toBeVisible();

  await page.getByRole('link', { name: 'To the briefing' }).click();
  await page.getByRole('button', { name: 'Begin reading' }).click();
  const read = page.getByRole('button', { name: 'I have read and understood this' });
  const readOn = page.getByRole('button', { name: 'Read on' });
  await expect(read.or(readOn)).toBeVisible();
  while (await read.or(readOn).isVisible()) {
    const title = await page.getByRole('heading', { level: 1 }).innerText();
    await expect(async () => {
      if (await readOn.isVisible()) await readOn.click({ timeout: 500 });
      await expect(read).toBeVisible({ timeout: 1_000 });
    }).toPass({ timeout: 20_000 });
    await read.click();
    await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(title);
  }
  await page.getByRole('link', { name: 'To signing' }).click();
  await page.getByRole('button', { name: 'Keep this time' }).click();
  await sign(page, 'Hirer’s signature');
  await sign(page, 'Staff signature');
  await expect(page.getByRole('region', { name: 'Seal of this record' })).toContainText(/[0-9a-f]{4} [0-9a-f]{4} [0-9a-f]{4} [0-9a-f]{4}/u);
  await page.getByRole('button', { name: 'Sign and hand over' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Handed over' })).toBeVisible();
  await expect(page.getByText(/^Signed on this device\./u)).toBeVisible();

  // Nobody signs out over what was not sent.
  await page.getByRole('button', { name: 'Menu' }).click();
  await page.getByRole('button', { name: 'Sign out' }).click();
  await expect(page.getByText(/still on this device and not with the server/u)).toBeVisible();
  await page.keyboard.press('Escape');

  const before = await held(page, inspection);
  expect(before.operations.length).toBeGreaterThan(150);
  // The battery dies; the phone comes up with a signal.
  await page.close();
  line.mend();
  await offline(context, false);
  page = await open(context);
  await page.goto(`/inspections/${inspection}/sign`);
  await everythingSent(page, 240_000);
  await expect(page.getByRole('heading', { level: 1, name: 'Handed over' })).toBeVisible();
  const device = await sameOnBothEnds(page, direct, inspection);
  expect(device.receipts).toBe(before.operations.length);
  expect(device.view?.photos.length).toBe(before.uploads.length);
  const view = await direct.get<{ status: string; seal: { record_sha256: string } | null; signatures: { record_sha256: string }[] }>(`/inspections/${inspection}`);
  expect(view.status).toBe('signed');
  expect(new Set([view.seal?.record_sha256, ...view.signatures.map((s) => s.record_sha256)]).size).toBe(1);
  expect(await direct.hire('FW-2083')).toMatchObject({ status: 'out', departure: inspection });
  await context.close();
});

test('a return with 40 photographs over a line that is cut 50 times loses nothing and does nothing twice', async ({ browser }) => {
  test.setTimeout(900_000);
  const random = seeded(Number(process.env['HANDSEL_SEED'] ?? 20260501));
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  await signInAs(page, 'yard', server.password);
  await fetchedAhead(page);
  const inspection = await begin(page, 'FW-2080', 'return');
  await everythingSent(page);
  const cdp = await context.newCDPSession(page);
  // Slow enough that a cut finds something on the line.
  await cdp.send('Network.emulateNetworkConditions', { offline: false, latency: 40, downloadThroughput: 400_000, uploadThroughput: 250_000 });

  let cutting = true;
  const pause = (ms: number) => new Promise((r) => setTimeout(r, ms));
  const weather = (async () => {
    let cuts = 0;
    while (cuts < 50) {
      await pause(200 + random() * 1_300);
      // Either the phone notices that the signal is gone, or the line just goes dead.
      const noticed = random() < 0.5;
      if (noticed) await offline(context, true);
      line.cut();
      await pause(50 + random() * 500);
      line.mend();
      if (noticed) await offline(context, false);
      cuts += 1;
    }
    cutting = false;
    return cuts;
  })();

  const keys = await page.evaluate(async (id) => {
    const db = await new Promise<IDBDatabase>((done, failed) => {
      const request = indexedDB.open('handsel');
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
    const request = db.transaction('cache').objectStore('cache').get(`setting/${id}`);
    const setting = await new Promise<{ value: { template: { stops: { viewpoints?: { key: string }[]; checkpoints?: { key: string; leg?: string }[] }[] } } }>((done, failed) => {
      request.onsuccess = () => done(request.result as never);
      request.onerror = () => failed(request.error);
    });
    db.close();
    return {
      viewpoints: setting.value.template.stops.flatMap((s) => (s.viewpoints ?? []).map((v) => v.key)),
      checkpoints: setting.value.template.stops.flatMap((s) => (s.checkpoints ?? []).filter((c) => c.leg !== 'departure').map((c) => c.key)),
    };
  }, inspection);
  const places = [...keys.viewpoints, ...keys.checkpoints];
  let taken = 0;
  for (let i = 0; taken < 40; i += 1) {
    const key = places[i % places.length] ?? '';
    await goWithin(page, `/inspections/${inspection}/steps/${key}`);
    const button = page.getByLabel(/^Take (a photograph|it again)/u);
    await expect(button).toBeAttached();
    const same = page.getByRole('button', { name: 'Same as departure' });
    await button.setInputFiles(await photograph(page, `return ${i}`));
    await expect.poll(async () => (await held(page, inspection)).operations.length + ((await held(page, inspection)).view?.photos.length ?? 0)).toBeGreaterThan(0);
    taken += 1;
    if (await same.isVisible()) await same.click();
  }
  // All are written down, whatever the line did.
  await expect.poll(async () => {
    const device = await held(page, inspection);
    const waiting = device.operations.filter((o) => o.deed.kind === 'photo').length;
    return waiting + (device.view?.photos.length ?? 0);
  }).toBe(40);
  expect(await weather).toBe(50);
  expect(cutting).toBe(false);
  await everythingSent(page, 240_000);
  await page.goto(`/inspections/${inspection}`);
  await expect(page.getByText('Everything is with the server.')).toBeVisible();
  const device = await sameOnBothEnds(page, direct, inspection);
  expect(device.view?.photos).toHaveLength(40);
  expect(new Set(device.view?.entries.map((e) => e.id)).size).toBe(device.view?.entries.length);
  await context.close();
});

test('a server killed in the middle of sending, and started again, has everything once', async ({ browser }) => {
  test.setTimeout(600_000);
  const random = seeded(7);
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  await signInAs(page, 'yard', server.password);
  await fetchedAhead(page);
  const inspection = await begin(page, 'FW-2075', 'return');
  await everythingSent(page);
  await offline(context, true);
  let recorded = 0;
  await beginWalkRound(page);
  const picture = await photograph(page, 'the server dies');
  for (; recorded < 30; recorded += 1) {
    if (!(await answerOne(page, { odometer: '99999', fuel: { part: 4, percent: '50' }, gross: '12.9' }, picture))) break;
  }
  expect(recorded).toBeGreaterThan(20);
  await offline(context, false);
  for (let kills = 0; kills < 3; kills += 1) {
    await new Promise((r) => setTimeout(r, 30 + random() * 400));
    await server.kill();
    await server.up();
  }
  await everythingSent(page, 240_000);
  const device = await sameOnBothEnds(page, direct, inspection);
  expect(device.view?.photos.length).toBeGreaterThanOrEqual(3);
  expect(device.view?.entries.length).toBeGreaterThan(15);
  await context.close();
});

test('a tab that dies while a photograph is taken loses at most that one', async ({ browser }) => {
  const context = await phoneContext(browser, line.url);
  let page = await open(context);
  await signInAs(page, 'desk', server.password);
  await fetchedAhead(page);
  const inspection = await begin(page, 'FW-2084', 'departure');
  await beginWalkRound(page);
  await page.getByLabel(/^Take a photograph/).setInputFiles(await photograph(page, 'first'));
  await page.getByRole('button', { name: 'Go on' }).click();
  const second = page.url();
  const picture = await photograph(page, 'second');
  await expect(page.getByLabel(/^Take a photograph/)).toBeAttached();
  const cdp = await context.newCDPSession(page);
  const input = page.getByLabel(/^Take a photograph/);
  const crashed = page.waitForEvent('crash');
  await input.setInputFiles(picture);
  void cdp.send('Page.crash').catch((error: unknown) => test.info().annotations.push({ type: 'crash', description: String(error) }));
  await crashed;
  await page.close();

  page = await open(context);
  await page.goto(second);
  await expect(page.getByLabel(/^Take (a photograph|it again)/)).toBeAttached();
  await everythingSent(page);
  // Where it was; the first photograph is there, the second as a whole or not at all.
  const device = await sameOnBothEnds(page, direct, inspection);
  expect(device.view?.photos.length).toBeGreaterThanOrEqual(1);
  expect(device.view?.photos.length).toBeLessThanOrEqual(2);
  await context.close();
});

test('two devices that answer differently keep both answers, and a person chooses', async ({ browser }) => {
  const one = await phoneContext(browser, line.url);
  const two = await phoneContext(browser, line.url);
  const here = await open(one);
  const there = await open(two);
  await signInAs(here, 'desk', server.password);
  await signInAs(there, 'yard', server.password);
  await fetchedAhead(here);
  const inspection = await begin(here, 'FW-2084', 'departure');
  await everythingSent(here);
  await there.goto(`/inspections/${inspection}`);
  await expect(there.getByRole('link', { name: /walk-round$/ })).toBeVisible();
  await offline(one, true);
  await offline(two, true);
  await openStep(here, 'Nearside body', 'Mains inlet');
  await here.getByRole('radio', { name: /^In order/ }).click({ force: true });
  await openStep(there, 'Nearside body', 'Mains inlet');
  await there.getByLabel(/^Note/).fill('the flap is cracked');
  await there.getByRole('radio', { name: /^Needs attention/ }).click({ force: true });
  await there.getByRole('button', { name: 'Save and go on' }).click();
  await offline(one, false);
  await everythingSent(here);
  await offline(two, false);
  await everythingSent(there);

  await there.goto(`/inspections/${inspection}`);
  await expect(there.getByRole('heading', { name: '1 question has two answers: choose one' })).toBeVisible();
  const both = await direct.get<{ conflicts: { checkpoint: string; entries: string[] }[] }>(`/inspections/${inspection}`);
  expect(both.conflicts.map((c) => c.entries.length)).toEqual([2]);
  await goWithin(there, `/inspections/${inspection}/sign`);
  await expect(there.getByText('Mains inlet: Two answers')).toBeVisible();
  await expect(there.getByRole('button', { name: 'Sign and hand over' })).toBeDisabled();
  await there.getByRole('link', { name: 'Go to it: Mains inlet: Two answers' }).click();
  await expect(there.getByRole('region', { name: 'Two answers' })).toContainText('the flap is cracked');
  await there.getByRole('button', { name: /^This one is right: Needs attention/ }).click();
  await expect(there.getByRole('region', { name: 'Two answers' })).toBeHidden();
  await everythingSent(there);
  const after = await direct.get<{ conflicts: unknown[]; entries: { checkpoint: string; note?: string }[] }>(`/inspections/${inspection}`);
  expect(after.conflicts).toEqual([]);
  expect(after.entries.at(-1)?.note).toBe('the flap is cracked');
  expect(after.entries.filter((e) => e.checkpoint === after.entries.at(-1)?.checkpoint).length).toBeGreaterThanOrEqual(3);
  await one.close();
  await two.close();
});

test('a session that ended lets recording go on, and sends after signing in again', async ({ browser }) => {
  const context = await phoneContext(browser, line.url);
  let page = await open(context);
  await signInAs(page, 'desk', server.password);
  await fetchedAhead(page);
  const inspection = await begin(page, 'FW-2084', 'departure');
  await everythingSent(page);
  await offline(context, true);
  // As after weeks in a drawer: neither token is taken any more.
  await page.evaluate(async () => {
    const db = await new Promise<IDBDatabase>((done, failed) => {
      const request = indexedDB.open('handsel');
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
    const tx = db.transaction('kept', 'readwrite');
    const session = await new Promise<Record<string, unknown>>((done, failed) => {
      const request = tx.objectStore('kept').get('session');
      request.onsuccess = () => done(request.result as Record<string, unknown>);
      request.onerror = () => failed(request.error);
    });
    tx.objectStore('kept').put({ ...session, access_token: 'expired', refresh_token: 'expired' }, 'session');
    await new Promise((done) => (tx.oncomplete = done));
    db.close();
  });
  await page.reload();
  await openStep(page, 'Nearside body', 'Mains lead');
  await page.getByRole('button', { name: 'In order' }).click();
  await offline(context, false);
  await expect(page.getByRole('link', { name: 'Sign in again to send' })).toBeVisible();
  // Recording goes on, also after the page was loaded again.
  await page.reload();
  await expect(page.getByRole('link', { name: 'Sign in again to send' })).toBeVisible();
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(await photograph(page, 'signed out'));
  await expect.poll(async () => (await held(page, inspection)).operations.length).toBe(2);
  await page.close();
  page = await open(context);
  await page.goto(`/inspections/${inspection}`);
  await page.getByRole('link', { name: 'Sign in again to send' }).click();
  await page.getByLabel('Email').fill('desk@fernway.example');
  await page.getByLabel('Password').fill(server.password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page).toHaveURL(new RegExp(`/inspections/${inspection}$`));
  await everythingSent(page);
  await sameOnBothEnds(page, direct, inspection);
  await context.close();
});

test('a full device says so, keeps what it has and what stands in the form', async ({ browser }) => {
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  const inspection = await begin(page, 'FW-2084', 'departure');
  await everythingSent(page);
  await offline(context, true);
  await openStep(page, 'Nearside body', 'Mains inlet');
  // What is wrong, where an earlier answer found something.
  await page.getByRole('textbox', { name: /^(Note|What is wrong)/ }).fill('kept before the device was full');
  await page.getByRole('radio', { name: /^In order/ }).click({ force: true });
  await expect.poll(async () => (await held(page, inspection)).operations.length).toBe(1);
  await goWithin(page, `/inspections/${inspection}`);
  await openStep(page, 'Nearside body', 'Mains lead');
  await page.getByLabel(/^Note/).fill('typed while it is full');
  const cdp = await context.newCDPSession(page);
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: line.url, quotaSize: 1 });
  // The browser remembers for half a minute that there was room.
  await page.waitForTimeout(31_000);
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(await photograph(page, 'too much'));
  await expect(page.getByRole('alert').filter({ hasText: 'This device is full.' })).toBeVisible();
  await expect(page.getByLabel(/^Note/)).toHaveValue('typed while it is full');
  const full = await held(page, inspection);
  expect(full.operations.map((o) => o.deed.kind)).toEqual(['entry']);
  expect(full.uploads).toEqual([]);
  await cdp.send('Storage.overrideQuotaForOrigin', { origin: line.url });
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(await photograph(page, 'now it fits'));
  await expect.poll(async () => (await held(page, inspection)).uploads.length).toBe(1);
  await offline(context, false);
  await everythingSent(page);
  await sameOnBothEnds(page, direct, inspection);
  await context.close();
});

test('what the first version of the store had not sent is sent by the second', async ({ browser }) => {
  const hire = await direct.hire('FW-2090');
  const inspection = crypto.randomUUID();
  await direct.raw('desk', `/hires/${hire.id}/inspections`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ id: inspection, leg: 'departure', device_time: new Date().toISOString() }),
  });
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  // Same place, no application: the store is made as the first version made it.
  await page.goto('/api/openapi.json');
  const template = await direct.get<{ stops: { viewpoints: { key: string }[]; checkpoints: { key: string; ask: { kind: string } }[] }[] }>(`/inspections/${inspection}/template`);
  const viewpoint = template.stops.flatMap((s) => s.viewpoints)[0]?.key ?? '';
  const checkpoint = template.stops.flatMap((s) => s.checkpoints).find((c) => c.ask.kind === 'condition')?.key ?? '';
  const picture = (await photograph(page, 'from the first version')).buffer.toString('base64');
  await page.evaluate(
    async (given) => {
      const answer = await fetch('/api/v1/auth/login', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ email: 'desk@fernway.example', password: given.password }) });
      const session: unknown = await answer.json();
      const db = await new Promise<IDBDatabase>((done, failed) => {
        const request = indexedDB.open('handsel', 1);
        request.onupgradeneeded = () => {
          const d = request.result;
          d.createObjectStore('kept');
          d.createObjectStore('cache', { keyPath: 'key' });
          d.createObjectStore('operations', { keyPath: 'id' }).createIndex('inspection', 'inspection');
          d.createObjectStore('blobs');
          d.createObjectStore('drafts', { keyPath: 'key' });
        };
        request.onsuccess = () => done(request.result);
        request.onerror = () => failed(request.error);
      });
      const at = new Date().toISOString();
      const bytes = Uint8Array.from(atob(given.picture), (c) => c.charCodeAt(0));
      const blob = new Blob([bytes], { type: 'image/jpeg' });
      const tx = db.transaction(['kept', 'operations', 'blobs'], 'readwrite');
      tx.objectStore('kept').put(session, 'session');
      tx.objectStore('blobs').put(blob, given.photo);
      tx.objectStore('operations').put({ id: '01900000-0000-7000-8000-000000000001', inspection: given.inspection, deed: { kind: 'photo', id: given.photo, subject: { of: 'viewpoint', viewpoint: given.viewpoint }, takenAt: at, width: 1600, height: 1200, bytes: blob.size }, doneAt: at, state: 'waiting' });
      tx.objectStore('operations').put({ id: '01900000-0000-7000-8000-000000000002', inspection: given.inspection, deed: { kind: 'entry', id: given.entry, input: { checkpoint: given.checkpoint, answer: { kind: 'condition', state: 'in_order' }, recorded_at: at } }, doneAt: at, state: 'waiting' });
      await new Promise((done) => (tx.oncomplete = done));
      db.close();
    },
    { password: server.password, inspection, viewpoint, checkpoint, picture, photo: crypto.randomUUID(), entry: crypto.randomUUID() },
  );
  await page.goto(`/inspections/${inspection}`);
  await everythingSent(page);
  await page.reload();
  await expect(page.getByText('Everything is with the server.')).toBeVisible();
  const device = await sameOnBothEnds(page, direct, inspection);
  expect([device.view?.photos.length, device.view?.entries.length, device.receipts]).toEqual([1, 1, 2]);
  await context.close();
});

test('a store that has vanished is said plainly, and what the server has comes back', async ({ browser }) => {
  const context = await phoneContext(browser, line.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  const inspection = await begin(page, 'FW-2084', 'departure');
  await everythingSent(page);
  await offline(context, true);
  await openStep(page, 'Nearside body', 'Fresh-water drain tap');
  await page.getByRole('button', { name: 'In order' }).click();
  await expect.poll(async () => (await held(page, inspection)).operations.length).toBe(1);
  await offline(context, false);
  line.cut();
  await page.goto('about:blank');
  await page.close();
  line.mend();
  const later = await open(context);
  await later.goto('/api/openapi.json');
  await later.evaluate(async () => {
    await new Promise((done, failed) => {
      const request = indexedDB.deleteDatabase('handsel');
      request.onsuccess = done;
      request.onerror = failed;
    });
  });
  await later.goto('/');
  await expect(later.getByText('What was stored on this device is gone.')).toBeVisible();
  await expect(later.getByText(/1 item was not with the server/u)).toBeVisible();
  await signInAs(later, 'desk', server.password);
  await later.goto(`/inspections/${inspection}`);
  await expect(later.getByRole('link', { name: /walk-round$/ })).toBeVisible();
  await context.close();
});
