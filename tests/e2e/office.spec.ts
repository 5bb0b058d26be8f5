// The office and the hirer on a real server: what waits, disputes that stop money, holds that lapse, the bank, reports.
import AxeBuilder from '@axe-core/playwright';
import { expect, test, type Browser, type Locator, type Page } from '@playwright/test';
import { execFileSync } from 'node:child_process';
import { join } from 'node:path';
import { open, phoneContext, signInAs } from './device';
import { newId } from './long-return';
import { photograph } from './screens';
import { Direct, Line as Wire, TestServer } from './server';

interface Money {
  minor: number;
  currency: string;
}
interface Line {
  key: string;
  title: string;
  state: string;
  price?: Money | null;
  amount: Money;
  if_charged: Money;
  weak_points: string[];
  weakened_by: string[];
}
interface Comparison {
  lines: Line[];
  totals: { charged: Money; open_lines: number };
}
interface Hire {
  id: string;
  reference: string;
  status: string;
}

let server: TestServer;
let direct: Direct;
let returned: Hire[];
let booked: Hire[];
let undisputed: Hire[];

test.beforeAll(async () => {
  test.setTimeout(600_000);
  server = await TestServer.start();
  direct = new Direct(server);
  const { items } = await direct.get<{ items: Hire[] }>('/hires?limit=200', 'office');
  returned = items.filter((h) => h.status === 'returned');
  booked = items.filter((h) => h.status === 'booked');
  undisputed = [];
  for (const hire of returned.slice(1)) {
    const { items: disputes } = await direct.get<{ items: unknown[] }>(`/hires/${hire.id}/disputes`, 'office');
    if (disputes.length === 0) undisputed.push(hire);
  }
});
test.afterAll(() => server.end());

function send(method: string, path: string, body: unknown, key: string = newId()): Promise<Response> {
  return direct.raw('office', path, { method, headers: { 'Content-Type': 'application/json', 'Idempotency-Key': key }, body: JSON.stringify(body) });
}

function there<T>(found: T | undefined, what: string): T {
  if (found === undefined) throw new Error(`the demonstration lacks ${what}`);
  return found;
}

const comparison = (hire: string) => direct.get<Comparison>(`/hires/${hire}/comparison`, 'office');
const isOpen = (line: Line) => ['proposed', 'held_for_review', 'estimate_open', 'held'].includes(line.state);
const isSound = (line: Line) => line.state === 'proposed' && line.price != null && line.weak_points.length === 0 && line.weakened_by.length === 0;
const pounds = (minor: number) => `${Math.floor(minor / 100)}.${String(minor % 100).padStart(2, '0')}`;

/** Decides everything that is open: as it is proposed, or an estimate of ten pounds. */
async function decideAll(hire: string): Promise<Comparison> {
  for (const line of (await comparison(hire)).lines.filter(isOpen)) {
    const verdict = line.price == null ? { verdict: 'adjust', amount: { ...line.amount, minor: 1000 } } : { verdict: 'accept' };
    await send('POST', `/hires/${hire}/decisions`, { id: newId(), line: line.key, reason: 'looked at by the office', ...verdict });
  }
  return comparison(hire);
}

/** Has the server read in a statement of one entry, which names no hire. */
async function bankEntry(no: string, who: string, amount: string): Promise<void> {
  const columns = { account: 'GB33XXXX', currency: 'GBP', separator: ',', decimal: '.', date_format: '%Y-%m-%d', booked_on: 'Date', amount: 'Amount', bank_reference: 'No', party: 'Who', text: [] };
  const query = new URLSearchParams({ name: `${no}.csv`, columns: JSON.stringify(columns) });
  const path = `/bank/imports/${newId()}`;
  await direct.raw('office', `${path}?${query}`, { method: 'PUT', body: `Date,No,Who,Amount\n${new Date().toISOString().slice(0, 10)},${no},${who},${amount}\n` });
  await expect.poll(async () => (await direct.get<{ state: string }>(path, 'office')).state).toBe('done');
}

async function desk(browser: Browser, more: Parameters<Browser['newContext']>[0] = {}): Promise<Page> {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, locale: 'en-GB', baseURL: server.url, ...more });
  const page = await open(context);
  await page.goto('/sign-in');
  await page.getByLabel('Email').fill('office@fernway.example');
  await page.getByLabel('Password').fill(server.password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Waiting for a decision' })).toBeVisible();
  return page;
}

/** Goes down a list by keys until a row is the one that is meant. */
async function downTo(page: Page, row: Locator): Promise<void> {
  for (let i = 0; i < 60; i += 1) {
    await page.keyboard.press('j');
    if (await row.evaluate((element) => element === document.activeElement)) return;
  }
  throw new Error('the keys do not lead to the row');
}

test('by keys from the list to decisions: at once what nothing speaks against, the rest one by one, all of it kept', async ({ browser }) => {
  const sounds = await Promise.all(returned.map(async (hire) => ({ hire, sound: (await comparison(hire.id)).lines.filter(isSound), open: (await comparison(hire.id)).lines.filter(isOpen) })));
  const more = sounds.filter((r) => r.open.length > r.sound.length + 1).sort((a, b) => b.sound.length - a.sound.length);
  const { hire, sound, open: lines } = there(more[0], 'a return that waits, with two lines to be looked at');
  expect(sound.length).toBeGreaterThan(0);
  const page = await desk(browser);
  await expect(page.getByText(/\d+ returns? waits? for the office\./u)).toBeVisible();
  const row = page.getByRole('list', { name: 'Waiting for a decision' }).getByRole('link').filter({ hasText: hire.reference });
  await expect(row).toContainText('lines to decide');
  await downTo(page, row);
  await page.keyboard.press('Enter');
  await expect(page.getByRole('heading', { level: 1, name: `What changed: ${hire.reference}` })).toBeVisible();
  const left = lines.length - sound.length;
  await expect(page.getByText(`It leaves ${left} line`)).toBeVisible();

  // Asked first, done the second time.
  await page.keyboard.press('Shift+A');
  await expect(page.getByRole('button', { name: `Accept ${sound.length}? Tap again` })).toBeVisible();
  expect((await comparison(hire.id)).lines.filter(isSound)).toHaveLength(sound.length);
  await page.keyboard.press('Shift+A');
  await expect(page.getByRole('status').filter({ hasText: `${sound.length} line` })).toBeAttached();
  const after = await comparison(hire.id);
  expect(after.lines.filter((l) => sound.some((s) => s.key === l.key)).map((l) => l.state)).toEqual(sound.map(() => 'accepted'));
  expect(after.totals.open_lines).toBe(left);

  await page.keyboard.press('n');
  await page.keyboard.press('w');
  const form = page.getByRole('form', { name: 'Waive' });
  await page.keyboard.press('Enter');
  await expect(form.getByRole('alert')).toHaveText('This is needed.');
  await form.getByLabel('Reason').fill('told so at the yard');
  // Who decided what is slow to come: the next line is marked all the same, and what is begun on it stays.
  let letCome = (): void => undefined;
  const slow = new Promise<void>((resolve) => (letCome = resolve));
  await page.route(/\/decisions$/u, async (route) => {
    if (route.request().method() === 'GET') await slow;
    await route.continue();
  });
  const asked = page.waitForRequest((request) => request.url().endsWith('/decisions') && request.method() === 'GET');
  await page.keyboard.press('Enter');
  await asked;
  await expect(form).toBeHidden();
  await page.keyboard.press('h');
  const aside = page.getByRole('form', { name: 'Put aside' });
  await expect(aside).toBeVisible();
  const answered = page.waitForResponse((response) => response.url().endsWith('/decisions') && response.request().method() === 'GET');
  letCome();
  await answered;
  await page.unroute(/\/decisions$/u);
  const history = page.locator('details').filter({ hasText: 'Who decided what, and when' });
  await history.locator('summary').click();
  await expect(history.getByRole('listitem')).toHaveCount((await direct.get<{ items: unknown[] }>(`/hires/${hire.id}/decisions`, 'office')).items.length);
  await expect(history).toContainText('told so at the yard');
  await expect(aside).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(aside).toBeHidden();

  // Only what is still blocked by lines is in that list.
  await page.goto('/office?blocked=nothing');
  await expect(page.getByLabel('Show')).toHaveValue('nothing');
  await expect(row).toHaveCount(0);
  await page.context().close();
});

test('a dispute by the hirer’s link stops a capture until it is answered, and the hirer reads the answer', async ({ browser }) => {
  test.setTimeout(300_000);
  const hire = there(undisputed[0], 'a return nobody disputes');
  const decided = await decideAll(hire.id);
  const line = there(decided.lines.filter((l) => l.state === 'accepted' && l.amount.minor > 0).sort((a, b) => b.amount.minor - a.amount.minor)[0], 'a line that is charged');
  const charged = decided.totals.charged.minor;

  const page = await desk(browser);
  await page.goto(`/office/${hire.id}/settlement`);
  const links = page.getByRole('region', { name: 'Links for the hirer' });
  await links.getByRole('button', { name: 'Make a link' }).click();
  const address = await links.getByLabel('Address of the link').inputValue();
  await expect(links.getByText(/never opened/u).first()).toBeVisible();

  const phone = await phoneContext(browser, server.url);
  const own = await open(phone);
  const asked: string[] = [];
  own.on('request', (request) => asked.push(request.url()));
  await own.goto(`/own#${new URL(address).hash.slice(1)}`);
  await expect(own.getByRole('heading', { level: 1, name: `Your hire ${hire.reference}` })).toBeVisible();
  // The secret is in no address: neither in the bar nor in anything asked of the server.
  expect(own.url()).toBe(`${server.url}/own`);
  expect(asked.filter((url) => url.includes(new URL(address).hash.slice(1, 20)))).toEqual([]);
  expect(await own.evaluate(async (secret) => JSON.stringify({ ...localStorage, ...sessionStorage }).includes(secret), new URL(address).hash.slice(1))).toBe(false);

  await own.getByRole('listitem').filter({ has: own.getByRole('heading', { name: line.title, exact: true }) }).getByRole('button', { name: /^Dispute this charge/u }).click();
  const form = own.getByRole('form', { name: `Dispute: ${line.title}` });
  await form.getByRole('button', { name: 'Send this dispute' }).click();
  await expect(form.getByRole('alert')).toHaveText('Say in a few words what is wrong.');
  await form.getByLabel('What is wrong with it').fill('It was like that when we got it.');
  await form.getByLabel(/^Add a photograph/).setInputFiles(await photograph(own, 'as we got it'));
  await expect(form.getByRole('img', { name: 'Your photograph 1' })).toBeVisible();
  await form.getByRole('button', { name: 'Send this dispute' }).click();
  await expect(own.getByText(`Your dispute is with us: ${line.title}.`)).toBeVisible();
  await expect(own.getByText('You dispute 1 charge.')).toBeVisible();
  await expect(own.getByRole('img', { name: 'Your photograph 1' })).toBeVisible();

  // The office would take everything that was charged: it is refused in words, and nothing moves.
  await page.reload();
  await expect(page.getByText(/^1 line is still undecided/u)).toBeVisible();
  await page.getByText('Another movement', { exact: true }).last().click();
  await page.getByLabel('What happened').selectOption('captured');
  await page.getByLabel('Amount').fill(pounds(charged));
  await page.getByRole('button', { name: /^Capture/u }).click();
  await expect(page.getByRole('alert').filter({ hasText: 'The movement was not recorded' })).toBeVisible();
  const ledger = () => direct.get<{ movements: { kind: string }[] }>(`/hires/${hire.id}/ledger`, 'office');
  expect((await ledger()).movements.filter((m) => m.kind === 'captured')).toEqual([]);

  // On the bench the hirer's words and photograph stand at the line, and accepting it asks for a reason.
  await page.goto('/office?blocked=dispute');
  await page.getByRole('list', { name: 'Waiting for a decision' }).getByRole('link').filter({ hasText: hire.reference }).click();
  const row = page.locator(`li[id="line-${line.key}"]`);
  await expect(row.locator('blockquote').getByText('It was like that when we got it.')).toBeVisible();
  await expect(row.getByRole('img', { name: 'The hirer’s photograph 1' })).toBeVisible();
  await row.getByRole('heading', { name: line.title }).click();
  await page.keyboard.press('a');
  const accept = page.getByRole('form', { name: 'Accept' });
  await expect(accept.getByText('Your decision answers the dispute')).toBeVisible();
  await accept.getByLabel('Reason').fill('The photograph at departure does not show it.');
  await page.keyboard.press('Enter');
  await expect(accept).toBeHidden();
  await expect(row.getByText('not right')).toBeVisible();

  await page.getByRole('link', { name: 'To the settlement' }).click();
  await page.getByRole('button', { name: /^Capture/u }).first().click();
  await expect.poll(async () => (await ledger()).movements.some((m) => m.kind === 'captured')).toBe(true);
  await expect(links.getByText(/last opened on/u)).toBeVisible();

  await own.goto('about:blank');
  await own.goto(`/own#${new URL(address).hash.slice(1)}`);
  await expect(own.getByText('The charge stands')).toBeVisible();
  const [statement] = await Promise.all([own.waitForEvent('download', { timeout: 60_000 }), own.getByRole('button', { name: 'Statement (PDF)' }).click()]);
  expect(statement.suggestedFilename()).toMatch(/\.pdf$/u);

  // A loaded page has lost its link, and says where to find it; one that was taken back says so.
  await own.reload();
  await expect(own.getByRole('heading', { level: 1, name: 'Open the link in your letter' })).toBeVisible();
  await links.getByRole('button', { name: /^Take it back/u }).click();
  await links.locator('button.sure').click();
  await expect(links.getByText('taken back', { exact: true })).toBeVisible();
  await own.goto('about:blank');
  await own.goto(`/own#${new URL(address).hash.slice(1)}`);
  await expect(own.getByRole('heading', { level: 1, name: 'This link does not work any more' })).toBeVisible();
  await phone.close();
  await page.context().close();
});

test('a dispute after the settlement is answered by a form of its own', async ({ browser }) => {
  const hire = there(undisputed[0], 'a return nobody disputes');
  // What the test before left: everything decided and charged. Whatever is held goes back, and it is closed.
  for (let i = 0; i < 6; i += 1) {
    const ledger = await direct.get<{ outstanding: Money; balances: { held: Money }; movements: { kind: string; means: string; reference?: string | null }[] }>(`/hires/${hire.id}/ledger`, 'office');
    if (ledger.outstanding.minor === 0 && ledger.balances.held.minor === 0) break;
    const hold = there(ledger.movements.find((m) => m.kind === 'hold_placed'), 'a hold');
    const kind = ledger.outstanding.minor > 0 ? (ledger.balances.held.minor > 0 ? 'captured' : 'paid') : ledger.balances.held.minor > 0 ? (hold.means === 'card' ? 'released' : 'refunded') : 'repaid';
    const minor = ledger.outstanding.minor > 0 ? Math.min(ledger.outstanding.minor, kind === 'paid' ? Infinity : ledger.balances.held.minor) : ledger.balances.held.minor || -ledger.outstanding.minor;
    const id = newId();
    await send('POST', `/hires/${hire.id}/movements`, { id, kind, means: hold.means, amount: { minor, currency: ledger.outstanding.currency } }, id);
  }
  await send('POST', `/hires/${hire.id}/settlement`, {});
  const made = (await (await send('POST', `/hires/${hire.id}/links`, { id: newId(), lang: 'de' })).json()) as { address: string };

  const phone = await phoneContext(browser, server.url);
  const own = await open(phone);
  await own.goto(`/own${new URL(made.address).hash}`);
  // The link's language, whatever the browser's.
  await expect(own.getByRole('heading', { level: 1, name: `Ihre Miete ${hire.reference}` })).toBeVisible();
  await expect(own.getByText(/^Sie können Einspruch erheben bis/u)).toBeVisible();
  await own.getByRole('button', { name: /^Einspruch erheben/u }).first().click();
  await own.getByLabel('Was daran nicht stimmt').fill('Das war schon so.');
  await own.getByRole('button', { name: 'Einspruch senden' }).click();
  await expect(own.getByText(/^Ihr Einspruch ist bei uns/u)).toBeVisible();
  await own.getByRole('button', { name: 'English' }).click();
  await expect(own.getByText('You dispute 1 charge.')).toBeVisible();

  const page = await desk(browser);
  const row = page.getByRole('list', { name: 'Waiting for a decision' }).getByRole('link').filter({ hasText: hire.reference });
  await expect(row).toContainText('settled, disputed since');
  await row.click();
  await expect(page.getByText('Das war schon so.')).toBeVisible();
  const answer = page.getByRole('form', { name: 'Answer this dispute' });
  await answer.getByLabel('What becomes of it').selectOption('partly_upheld');
  await answer.getByRole('button', { name: 'Send the answer' }).click();
  await expect(answer.getByRole('alert')).toHaveText('This is needed.');
  await answer.getByLabel('Words to the hirer').fill('Half of it goes back to you.');
  await answer.getByRole('button', { name: 'Send the answer' }).click();
  await expect(page.getByText('Half of it goes back to you.')).toBeVisible();
  await expect(answer).toBeHidden();
  await phone.close();
  await page.context().close();
});

test('a hold that is about to lapse is warned of, and an extension takes the warning away', async ({ browser }) => {
  const hire = there(booked[0], 'a hire');
  const [reference, id] = [`auth ${hire.reference}`, newId()];
  const ends = new Date(Date.now() + 47.5 * 3_600_000).toISOString().replace(/\.\d+Z$/u, 'Z');
  await send('POST', `/hires/${hire.id}/movements`, { id, kind: 'hold_placed', means: 'card', amount: { minor: 5_000, currency: 'GBP' }, reference, hold_ends_at: ends }, id);
  const page = await desk(browser);
  const holds = page.getByRole('region', { name: 'Card holds that lapse' });
  await expect(holds.getByRole('link').filter({ hasText: hire.reference })).toContainText('lapses in 47 hours');
  await holds.getByRole('link').filter({ hasText: hire.reference }).click();
  const hold = page.getByRole('region', { name: 'The card hold' });
  await expect(hold).toContainText('lapses in 47 hours');
  await expect(hold).toContainText('Capture what is owed or have it extended before then');
  await hold.getByText('Record an extension').first().click();
  const form = hold.getByRole('form', { name: 'The hold is kept longer' });
  await form.getByLabel('Now lapses at').fill('2020-01-01T10:00');
  await form.getByRole('button').click();
  await expect(form.getByRole('alert')).toHaveText('This is not later than now.');
  const later = new Date(Date.now() + 20 * 86_400_000).toISOString().slice(0, 16);
  await form.getByLabel('Now lapses at').fill(later);
  await form.getByRole('button').click();
  await expect(hold).not.toContainText('Capture what is owed');
  await expect(hold).toContainText(/until .*, in (19|20) days/u);
  await page.goto('/office');
  await expect(page.getByText(/\d+ returns? waits? for the office\./u)).toBeVisible();
  await expect(holds.getByRole('link').filter({ hasText: hire.reference })).toHaveCount(0);
  await page.context().close();
});

test('a bank’s file is refused with its place, read in once, and its entries are placed by keys', async ({ browser }) => {
  const [one, two, three] = booked;
  if (!one || !two || !three) throw new Error('too few hires are booked');
  const deposit = async (hire: Hire, minor: number): Promise<void> => {
    const id = newId();
    await send('POST', `/hires/${hire.id}/movements`, { id, kind: 'hold_placed', means: 'transfer', amount: { minor, currency: 'GBP' } }, id);
  };
  await deposit(one, 31_700);
  await deposit(one, 6_613);
  await deposit(two, 6_613);
  const today = new Date().toISOString().slice(0, 10);
  const rows = [
    `${today},${one.reference},B-1,Juniper Hirer,deposit,317.00`,
    `${today},,B-2,Linden & Daughters,many thanks,66.13`,
    `${today},,B-3,Alder Hirer,deposit for ${three.reference},88.00`,
    `${today},,B-4,,account fee,-4.50`,
  ];
  const file = (lines: string[]) => ({ name: 'november.csv', mimeType: 'text/csv', buffer: Buffer.from(['Date,Reference,Bank reference,Name,Details,Amount', ...lines, ''].join('\r\n')) });

  const page = await desk(browser);
  await page.getByRole('link', { name: 'Bank' }).click();
  await expect(page.getByText('No entry is open.')).toBeVisible();
  const reading = page.getByRole('form', { name: 'Read in a statement' });
  await reading.getByLabel('Choose a file').setInputFiles(file([...rows.slice(0, 2), `${today},,B-9,Nobody,nothing,12.3.4`]));
  await expect(reading.getByLabel('What it is')).toHaveValue('csv');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(reading.getByText('This is needed.').first()).toBeVisible();
  const fill = { 'Account, as it is to be called': 'GB33XXXX', 'Booked on': 'Date', 'Amount with its sign': 'Amount', 'The bank’s reference (optional)': 'Bank reference', 'Reference (optional)': 'Reference', 'Who (optional)': 'Name', 'Words (optional)': 'Details' };
  for (const [label, value] of Object.entries(fill)) await reading.getByLabel(label, { exact: true }).fill(value);
  await reading.getByLabel('Dates are written').selectOption('iso');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  const refused = page.getByRole('alert').filter({ hasText: 'Nothing was kept of this file.' });
  await expect(refused).toContainText('A value in it cannot be read.');
  await expect(refused).toContainText(/Entry 3, line \d+ of the file\./u);

  // What the columns are is still known after the page was loaded anew.
  await page.reload();
  await reading.getByLabel('Choose a file').setInputFiles(file(rows));
  await expect(reading.getByLabel('Booked on')).toHaveValue('Date');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(page.getByRole('status').getByText('Read in: 4 entries, 4 of them new.')).toBeVisible();
  const entries = page.getByRole('list', { name: 'Open' });
  await expect(entries.getByRole('listitem').filter({ hasText: 'At the bank' })).toHaveCount(3);

  const either = page.locator('li[id^="entry-"]').filter({ hasText: 'Linden & Daughters' });
  await expect(either).toContainText('2 movements fit: which is it?');
  await downTo(page, either);
  const first = await either.locator('.candidate strong').first().innerText();
  await page.keyboard.press('1');
  await expect(either).toHaveCount(0);
  const named = page.locator('li[id^="entry-"]').filter({ hasText: 'Alder Hirer' });
  await named.getByRole('button', { name: 'Record it as a new movement' }).click();
  await expect(named).toHaveCount(0);
  const fee = page.locator('li[id^="entry-"]').filter({ hasText: 'account fee' });
  await downTo(page, fee);
  await page.keyboard.press('x');
  await page.keyboard.type('the bank’s own fee');
  await page.keyboard.press('Enter');
  await expect(page.getByText('No entry is open.')).toBeVisible();
  const held = await direct.get<{ movements: { amount: Money; means: string }[] }>(`/hires/${three.id}/ledger`, 'office');
  expect(held.movements.filter((m) => m.means === 'transfer' && m.amount.minor === 8_800)).toHaveLength(1);

  await page.getByRole('button', { name: 'Put aside', exact: true }).click();
  await expect(page.getByText('Put aside: the bank’s own fee')).toBeVisible();
  await page.getByRole('button', { name: 'Matched' }).click();
  const matched = page.locator('li[id^="entry-"]');
  await expect(matched).toHaveCount(3);
  await expect(matched.filter({ hasText: '£317.00' })).toContainText('matched by its reference');
  const byHand = matched.filter({ hasText: 'Linden & Daughters' });
  await expect(byHand).toContainText('matched by a person');
  await byHand.getByRole('button', { name: /^Take the match back/u }).click();
  await byHand.locator('button.sure').click();
  await expect(byHand).toHaveCount(0);
  await page.getByRole('button', { name: 'Open', exact: true }).click();
  await expect(either).toContainText(first);

  await reading.getByLabel('Choose a file').setInputFiles(file(rows));
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(page.getByRole('status').getByText('Read in: 4 entries, 0 of them new.')).toBeVisible();
  await page.context().close();
});

test('a file tells how much of it has gone, and goes again whole when the session has run out before', async ({ browser }) => {
  const wire = new Wire(() => server.port);
  await wire.open();
  const page = await desk(browser, { baseURL: wire.url });
  await page.goto('/office/bank');
  const reading = page.getByRole('form', { name: 'Read in a statement' });
  await expect(page.getByText(/^Loading…$/u)).toHaveCount(0);
  const went: (string | undefined)[] = [];
  // As the server answers a token that has run out; the second time it is asked itself.
  await page.route('**/api/v1/bank/imports/*', async (route) => {
    if (route.request().method() !== 'PUT') return route.continue();
    went.push(route.request().headers()['authorization']);
    if (went.length > 1) return route.continue();
    return route.fulfill({ status: 401, contentType: 'application/problem+json', body: JSON.stringify({ code: 'token_expired', title: 'Run out', detail: 'Renew the session.' }) });
  });
  await reading.getByLabel('Choose a file').setInputFiles({ name: 'statement.xml', mimeType: 'text/xml', buffer: Buffer.from('no statement at all') });
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(page.getByRole('alert').filter({ hasText: 'Nothing was kept of this file.' })).toBeVisible();
  expect(went).toHaveLength(2);
  expect(went[1]).not.toBe(went[0]);
  await page.unroute('**/api/v1/bank/imports/*');

  // Longer than what the machine's own sockets swallow at once.
  wire.rate = 6_000_000;
  await reading.getByLabel('Choose a file').setInputFiles({ name: 'long.xml', mimeType: 'text/xml', buffer: Buffer.alloc(24_000_000, 'x') });
  await expect(page.getByRole('alert').filter({ hasText: 'Nothing was kept of this file.' })).toHaveCount(0);
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(page.getByText(/^([1-9]|1\d|2[0-2])\.\d MB of 24\.0 MB have gone\.$/u)).toBeVisible();
  await expect(page.getByRole('progressbar', { name: 'Read in a statement' })).toBeVisible();
  // That all of it has gone stands there only until the server answers, which may be at once.
  await expect(page.getByRole('alert').filter({ hasText: 'Nothing was kept of this file.' })).toBeVisible({ timeout: 60_000 });
  await page.context().close();
  await wire.close();
});

test('a payment provider’s file is recorded once, line by line, and one that is refused says why', async ({ browser }) => {
  const hire = there(booked[2], 'a third hire that is booked');
  const ledger = () => direct.get<{ movements: { kind: string; means: string; amount: Money; reference?: string | null }[] }>(`/hires/${hire.id}/ledger`, 'office');
  const before = (await ledger()).movements.length;
  const file = (lines: string[]) => ({ name: 'events.csv', mimeType: 'text/csv', buffer: Buffer.from(['No;Order;Type;Sum;Hold', ...lines, ''].join('\n')) });
  const lines = [`ev-1;${hire.reference};reserved;250,00;H-77`, `ev-2;${hire.reference};fee;1,20;H-77`, `ev-3;${hire.reference};taken;10,00;H-77`, 'ev-4;F-NONE;taken;5,00;H-77'];
  const page = await desk(browser);
  await page.goto('/office/bank');
  const reading = page.getByRole('form', { name: 'Read in a payment provider’s events' });
  await reading.getByLabel('Choose a file').setInputFiles(file(lines));
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(reading.getByText('This is needed.')).toHaveCount(4);
  await expect(reading.getByLabel('Mark of each event', { exact: true })).toBeFocused();
  const fill = { 'Mark of each event': 'No', 'Reference of the hire': 'Order', 'What happened': 'Type', 'Amount': 'Sum', 'Reference of the hold (optional)': 'Hold', 'Word 1': 'reserved' };
  for (const [label, value] of Object.entries(fill)) await reading.getByLabel(label, { exact: true }).fill(value);
  await reading.getByLabel('Between values').selectOption('semicolon');
  await reading.getByLabel('Decimal sign').selectOption(',');
  await reading.getByRole('button', { name: 'Another word' }).click();
  // The new line has the focus.
  await page.keyboard.type('reserved');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(reading.getByRole('alert')).toHaveText('This word stands above already.');
  await reading.getByLabel('Word 2', { exact: true }).fill('taken');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  // Nobody said what a fee is: nothing is guessed.
  const refused = page.getByRole('alert').filter({ hasText: 'Nothing of this file was recorded.' });
  await expect(refused).toContainText('Line 3 of the file, event 2.');
  expect((await ledger()).movements).toHaveLength(before);
  await reading.getByRole('button', { name: 'Another word' }).click();
  await page.keyboard.type('fee');
  await reading.getByLabel('Word 3 means').selectOption('pass_over');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  const section = page.getByRole('region', { name: 'Read in a payment provider’s events' });
  await expect(section.getByText('Gone through, 4 in all: 1 recorded, 0 recorded before, 1 passed over, 2 refused.')).toBeVisible();
  const rows = section.getByRole('table', { name: 'Refused lines' }).locator('tbody tr');
  await expect(rows).toHaveCount(2);
  await expect(rows.nth(0)).toContainText(/4.*ev-3.*More than is owed\. Still owed: £0\.00\./su);
  await expect(rows.nth(1)).toContainText(/5.*F-NONE.*ev-4.*No hire has this reference/su);
  const placed = (await ledger()).movements;
  expect(placed).toHaveLength(before + 1);
  expect(placed.find((m) => m.reference === 'H-77')).toMatchObject({ kind: 'hold_placed', means: 'card', amount: { minor: 25_000, currency: 'GBP' } });

  // Again, after the page was loaded anew: what its columns and words are is still known, and nothing comes twice.
  await page.reload();
  await reading.getByLabel('Choose a file').setInputFiles(file(lines));
  await expect(reading.getByLabel('Word 3', { exact: true })).toHaveValue('fee');
  await expect(reading.getByLabel('Word 3 means')).toHaveValue('pass_over');
  await reading.getByRole('button', { name: 'Read it in' }).click();
  await expect(section.getByText('0 recorded, 1 recorded before, 1 passed over, 2 refused.', { exact: false })).toBeVisible();
  expect((await ledger()).movements).toHaveLength(before + 1);
  await page.context().close();
});

test('the hire of an entry that names none is found and recorded by keys', async ({ browser }) => {
  const { items } = await direct.get<{ items: (Hire & { drivers: { name: string; lead?: boolean }[] })[] }>('/hires?limit=200&status=out', 'office');
  const hire = there(items[0], 'a hire that is out');
  const hirer = there(hire.drivers.find((d) => d.lead === true) ?? hire.drivers[0], 'a driver').name;
  await bankEntry('C-1', 'Somebody’s aunt', '43.21');
  const page = await desk(browser);
  await page.goto('/office/bank');
  const entry = page.locator('li[id^="entry-"]').filter({ hasText: 'Somebody’s aunt' });
  await expect(entry).toContainText('Nothing in the ledger fits.');
  await downTo(page, entry);
  await page.keyboard.press('f');
  const search = entry.getByRole('search');
  await page.keyboard.type('nobody of that name');
  await page.keyboard.press('Enter');
  await expect(search.getByRole('status')).toHaveText('No hire is found by these words.');
  await page.keyboard.press('Escape');
  await expect(search).toHaveCount(0);
  await expect(entry).toBeFocused();
  await page.keyboard.press('f');
  await page.keyboard.type(hirer);
  await page.keyboard.press('Enter');
  await expect(search.getByRole('listitem').first()).toContainText(hirer);
  // The name alone can lead to several hires: the reference says which.
  const own = search.getByRole('combobox', { name: new RegExp(`^As ?: ${hire.reference}$`, 'u') });
  for (let i = 0; i < 20 && !(await own.evaluate((element) => element === document.activeElement)); i += 1) await page.keyboard.press('Tab');
  await expect(own).toBeFocused();
  await expect(own).toHaveValue('hold_placed');
  await page.keyboard.press('ArrowDown');
  await expect(own).toHaveValue('paid');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  // Nothing is owed yet: the ledger says so, and what was found is still there to be put right.
  await expect(entry.getByRole('alert')).toContainText('more than the 0.00 GBP still owed');
  await page.keyboard.press('Shift+Tab');
  await page.keyboard.press('ArrowUp');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await expect(entry).toHaveCount(0);
  const { movements } = await direct.get<{ movements: { kind: string; means: string; amount: Money; payer?: string | null }[] }>(`/hires/${hire.id}/ledger`, 'office');
  expect(movements.filter((m) => m.amount.minor === 4_321)).toMatchObject([{ kind: 'hold_placed', means: 'transfer', payer: 'Somebody’s aunt' }]);
  await page.context().close();
});

test('several payers of one settlement are told apart', async ({ browser }) => {
  const hire = there(undisputed[1] ?? returned.find((h) => h.id !== undisputed[0]?.id), 'a second return');
  const page = await desk(browser);
  await page.goto(`/office/${hire.id}/settlement`);
  const { items } = await direct.get<{ items: (Hire & { drivers: { name: string; lead?: boolean }[] })[] }>(`/hires?q=${hire.reference}`, 'office');
  const hirer = there(items[0]?.drivers.find((d) => d.lead === true) ?? items[0]?.drivers[0], 'a driver').name;
  for (const [i, [payer, amount]] of ([['Linden & Daughters', '12.50'], ['Alder Club', '7.25'], ['Linden & Daughters', '1.00']] as const).entries()) {
    await expect(page.getByText(payer, { exact: false })).toHaveCount(i === 2 ? 2 : 0);
    await page.getByText('Another movement', { exact: true }).last().click();
    await page.getByLabel('What happened').selectOption('paid');
    await page.getByLabel('By', { exact: true }).selectOption('transfer');
    await page.getByLabel('Amount').fill(amount);
    await page.getByLabel(/^Who pays or is paid/u).fill(payer);
    await page.getByRole('button', { name: new RegExp(`£${amount}`, 'u') }).click();
    await expect(page.getByText(`by ${payer}`, { exact: false })).toHaveCount(i === 2 ? 2 : 1);
  }
  const payers = page.getByRole('region', { name: 'By payer' }).getByRole('listitem');
  await expect(payers.filter({ hasText: 'Linden & Daughters' })).toContainText('received £13.50, held £0.00');
  await expect(payers.filter({ hasText: 'Alder Club' })).toContainText('received £7.25, held £0.00');
  await expect(payers.filter({ hasText: hirer })).toHaveCount(1);
  await page.context().close();
});

test('a link that has run out says so, and one that was taken back says that', async ({ browser }) => {
  const hire = there(returned[0], 'a hire');
  const make = async (): Promise<{ id: string; hash: string }> => {
    const id = newId();
    const made = (await (await send('POST', `/hires/${hire.id}/links`, { id, lang: 'en' })).json()) as { address: string };
    return { id, hash: new URL(made.address).hash };
  };
  const [late, back] = [await make(), await make()];
  const phone = await phoneContext(browser, server.url);
  const own = await open(phone);
  const opened = async (hash: string, heading: RegExp) => {
    await own.goto('about:blank');
    await own.goto(`/own${hash}`);
    await expect(own.getByRole('heading', { level: 1, name: heading })).toBeVisible();
  };
  await opened(late.hash, new RegExp(hire.reference, 'u'));
  // Nobody waits a day for the shortest link to run out: its end is put back where the server keeps it.
  const yesterday = new Date(Date.now() - 86_400_000).toISOString();
  const sql = 'import sqlite3, sys; c = sqlite3.connect(sys.argv[1], timeout=30); n = c.execute("update link set expires_at = ? where lower(hex(id)) = ?", sys.argv[2:]).rowcount; c.commit(); print(n)';
  expect(execFileSync('python3', ['-c', sql, join(server.data, 'handsel.db'), yesterday, late.id.replaceAll('-', '')]).toString().trim()).toBe('1');
  await opened(late.hash, /^This link has run out$/u);
  await expect(own.getByText('Nothing of yours is lost', { exact: false })).toBeVisible();

  const page = await desk(browser);
  await page.goto(`/office/${hire.id}/settlement`);
  const links = page.getByRole('region', { name: 'Links for the hirer' });
  await expect(links.getByText('run out', { exact: true })).toBeVisible();
  await opened(back.hash, new RegExp(hire.reference, 'u'));
  await send('DELETE', `/hires/${hire.id}/links/${back.id}`, undefined);
  await opened(back.hash, /^This link does not work any more$/u);
  await page.reload();
  await expect(links.getByText('taken back', { exact: true })).toBeVisible();
  await phone.close();
  await page.context().close();
});

test('a manager reports on one depot or on all of them', async ({ browser }) => {
  const { items: depots } = await direct.get<{ items: { id: string; name: string }[] }>('/depots?limit=200', 'manager');
  const asked = new URLSearchParams({ from: new Date(Date.now() - 60 * 86_400_000).toISOString().slice(0, 10), to: new Date().toISOString().slice(0, 10), currency: 'GBP' });
  const returns = async (depot: string | null) => (await direct.get<{ returns: number }>(`/reports?${asked}${depot === null ? '' : `&depot=${depot}`}`, 'manager')).returns;
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, locale: 'en-GB', baseURL: server.url });
  const page = await open(context);
  await signInAs(page, 'manager', server.password);
  await page.goto('/office/reports');
  await page.getByLabel('Returns of').selectOption('dates');
  await page.getByLabel('From', { exact: true }).fill(there(asked.get('from') ?? undefined, 'a day'));
  const told = (words: string, n: number) => page.getByText(new RegExp(`^${words}${n === 0 ? 'No return' : `${n} returns? `}`, 'u'));
  let apart = 0;
  for (const depot of [null, ...depots]) {
    const n = await returns(depot?.id ?? null);
    if (depot) apart += n;
    await page.getByLabel('Depot').selectOption(depot?.id ?? '');
    await page.getByRole('button', { name: 'Show', exact: true }).click();
    await expect(told(depot ? `${depot.name}: ` : '', n)).toBeVisible();
  }
  // What the depots had is what all of them had; and not each had all of it, so the choice says something.
  expect(apart).toBe(await returns(null));
  expect(Math.min(...(await Promise.all(depots.map((d) => returns(d.id)))))).toBeLessThan(apart);
  await context.close();
});

test('reports, documents and the evidence bundle are there to take along', async ({ browser }) => {
  test.setTimeout(300_000);
  const hire = there(returned[0], 'a hire');
  const page = await desk(browser);
  await page.getByRole('link', { name: 'Reports' }).click();
  await page.getByLabel('Returns of').selectOption('dates');
  await page.getByLabel('From', { exact: true }).fill(new Date(Date.now() - 60 * 86_400_000).toISOString().slice(0, 10));
  await page.getByLabel('To, included').fill(new Date(Date.now() + 86_400_000).toISOString().slice(0, 10));
  await page.getByRole('button', { name: 'Show', exact: true }).click();
  const charges = page.getByRole('table').first();
  await expect(charges).toContainText('£');
  expect(await page.getByRole('heading', { level: 2 }).count()).toBe(6);
  const [workbook] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: /XLSX/u }).click()]);
  expect(workbook.suggestedFilename()).toBe('report.xlsx');
  const [table] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Charges as CSV' }).click()]);
  expect(table.suggestedFilename()).toBe('charges.csv');

  await page.goto(`/office/${hire.id}/settlement`);
  for (const [name, ending] of [['Statement (PDF)', '.pdf'], ['Return record (PDF)', '.pdf'], ['Evidence bundle (ZIP)', '.zip']] as const) {
    const [file] = await Promise.all([page.waitForEvent('download', { timeout: 120_000 }), page.getByRole('button', { name }).click()]);
    expect(file.suggestedFilename()).toContain(ending);
    await expect(page.getByText(new RegExp(`${name.replaceAll(/[()]/gu, '\\$&')}: saved, [0-9.]+ MB`, 'u'))).toBeVisible();
  }
  await page.context().close();
});

// Colours do not depend on the language, and the lengths of words not on the colours: two of the four say all of it.
for (const [language, colorScheme] of [['en', 'light'], ['de', 'dark']] as const) {
  test(`assistive technology reads the office’s and the hirer’s screens: ${language}, ${colorScheme}`, async ({ browser }) => {
    const faults: string[] = [];
    const check = async (page: Page, name: string) => {
      const { violations } = await new AxeBuilder({ page }).analyze();
      for (const v of violations) if (v.impact === 'serious' || v.impact === 'critical') faults.push(`${name}: ${v.id}: ${v.nodes.map((n) => n.target.join(' ')).join('; ')}`);
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
      if (wide > 1) faults.push(`${name}: ${wide} px wider than the screen`);
      const shots = process.env['HANDSEL_SHOTS'];
      if (shots) await page.screenshot({ path: `${shots}/${name}-${language}-${colorScheme}.png`, fullPage: true });
    };
    const page = await desk(browser, { colorScheme, reducedMotion: 'reduce' });
    if (language === 'de') {
      await page.getByRole('button', { name: 'Menu' }).click();
      await page.getByRole('button', { name: 'Deutsch' }).click();
      await expect(page.locator('html')).toHaveAttribute('lang', 'de');
      await page.keyboard.press('Escape');
    }
    const loaded = async (path: string) => {
      await page.goto(path);
      await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
      await expect(page.getByText(/^(Loading…|Wird geladen\s?…)$/u)).toHaveCount(0);
    };
    const [hire, settled] = [there(returned[0], 'a hire'), there(undisputed[0], 'a hire')];
    for (const [name, path] of [
      ['office', '/office'],
      ['bench', `/office/${hire.id}`],
      ['bench-disputed', `/office/${settled.id}`],
      ['settlement', `/office/${hire.id}/settlement`],
      ['hold', `/office/${returned[2]?.id ?? hire.id}/settlement`],
      ['bank', '/office/bank'],
      ['bank-matched', '/office/bank?list=matched'],
      ['reports', '/office/reports'],
    ] as const) {
      await loaded(path);
      await check(page, name);
    }
    // With a file chosen, the bank shows its columns; and an entry the search for its hire.
    await bankEntry(`D-${language}`, 'A stranger', language === 'en' ? '9.87' : '9.78');
    await loaded('/office/bank');
    for (const section of await page.locator('section:has(input[type=file])').all()) await section.locator('input[type=file]').setInputFiles({ name: 'some.csv', mimeType: 'text/csv', buffer: Buffer.from('A,B\n') });
    await expect(page.locator('fieldset')).toHaveCount(5);
    await check(page, 'bank-files');
    const entry = page.locator('li[id^="entry-"]').filter({ hasText: 'A stranger' }).first();
    await entry.focus();
    await page.keyboard.press('f');
    await page.keyboard.type('FW-');
    await page.keyboard.press('Enter');
    await expect(entry.getByRole('search').getByRole('listitem').first()).toBeVisible();
    await check(page, 'bank-find');
    const made = (await (await send('POST', `/hires/${hire.id}/links`, { id: newId(), lang: language })).json()) as { address: string };
    const phone = await phoneContext(browser, server.url, { colorScheme, reducedMotion: 'reduce' });
    const own = await open(phone);
    await own.goto(`/own${new URL(made.address).hash}`);
    await expect(own.getByRole('heading', { level: 1 })).toContainText(hire.reference);
    await check(own, 'own');
    await own.getByRole('button', { name: language === 'en' ? /^Dispute this charge/u : /^Einspruch erheben/u }).first().click();
    await check(own, 'own-dispute');
    await own.goto('about:blank');
    await own.goto('/own#nothing');
    await expect(own.getByRole('heading', { level: 1 })).not.toHaveText(/^(Your hire|Ihre Miete)$/u);
    await check(own, 'own-invalid');
    expect(faults).toEqual([]);
    await phone.close();
    await page.context().close();
  });
}
