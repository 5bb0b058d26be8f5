// The main job through the screens only: a vehicle goes out, comes back, and the difference becomes fair money.
import { devices, expect, test, type Browser, type Page } from '@playwright/test';
import { allSent, answerOne, beginWalkRound, openStep, photograph, sign, signIn, type Role } from './screens';

// Named, an earlier run's hire is gone on with: `HANDSEL_REFERENCE=… playwright test --grep return`.
const reference = process.env['HANDSEL_REFERENCE'] ?? `E2E-${Date.now().toString(36).toUpperCase()}`;
const shots = process.env['HANDSEL_SHOTS'];

/** Keeps a picture of the screen for somebody to look at, where a folder for them is named. */
async function keep(page: Page, name: string): Promise<void> {
  if (shots) await page.screenshot({ path: `${shots}/${name}.png` });
}

async function phone(browser: Browser, role: Role): Promise<Page> {
  const context = await browser.newContext({ ...devices['Pixel 7'], viewport: { width: 390, height: 844 }, locale: 'en-GB' });
  const page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  await signIn(page, role);
  return page;
}

/** A vehicle nobody has out: not among those coming back by a day far away. */
async function freeVehicle(page: Page): Promise<string> {
  await page.goto('/today?day=2099-12-31');
  await expect(page.getByRole('heading', { name: 'Coming back' })).toBeVisible();
  const out = await page.getByRole('region', { name: 'Coming back' }).locator('strong').allInnerTexts();
  await page.goto('/hires/new');
  const select = page.getByLabel('Vehicle');
  await expect.poll(() => select.locator('option').count()).toBeGreaterThan(1);
  const all = (await select.locator('option').allInnerTexts()).slice(1);
  const free = all.find((words) => !out.some((name) => words.startsWith(`${name},`)));
  if (free === undefined) throw new Error('every vehicle is out');
  return free;
}

function wall(days: number, hour: string): string {
  const at = new Date(Date.now() + days * 86_400_000);
  return `${at.toISOString().slice(0, 10)}T${hour}`;
}

test.describe.configure({ mode: 'serial' });

test('departure on a phone', async ({ browser }) => {
  test.setTimeout(600_000);
  const page = await phone(browser, 'desk');
  await keep(page, '01-today');

  const vehicle = await freeVehicle(page);
  await page.getByLabel('Reference').fill(reference);
  await page.getByLabel('Vehicle').selectOption({ label: vehicle });
  await page.getByLabel('Departure').fill(wall(-1, '15:00'));
  await page.getByLabel('Return', { exact: true }).fill(wall(1, '10:00'));
  await page.getByLabel(/^Excess/).fill('1,000');
  await page.getByLabel('Deposit agreed').fill('1500.00');
  await page.getByRole('textbox', { name: 'Name' }).fill('Mara Pell');
  await page.getByLabel('Has never driven this layout').check();
  await keep(page, '02-new-hire');
  await page.getByRole('button', { name: 'Book this hire' }).click();
  await expect(page.getByRole('heading', { level: 1, name: `Hire ${reference}` })).toBeVisible();

  await page.getByText('Record the deposit').click();
  await page.getByLabel(/^Payment reference/).fill('auth 4711');
  await page.getByRole('button', { name: /^Record .*1,500\.00 taken$/ }).click();
  await expect(page.getByText(/1,500\.00 is held/)).toBeVisible();
  await keep(page, '03-deposit');

  await page.getByRole('button', { name: 'Start departure' }).click();
  await expect(page.getByRole('link', { name: 'Begin the walk-round' })).toBeVisible();
  await keep(page, '04-stops');
  await beginWalkRound(page);

  // The first photograph, and an old scratch on it.
  const picture = await photograph(page, reference);
  await expect(page.getByRole('button', { name: 'Leave open for now' })).toBeVisible();
  await page.getByLabel(/^Take a photograph/).setInputFiles(picture);
  await page.getByRole('link', { name: 'See and place marks' }).click();
  await page.getByRole('button', { name: 'Place a new mark' }).click();
  const area = page.getByRole('application', { name: /^Place of the mark/ });
  await area.click({ position: { x: 150, y: 120 } });
  await area.press('ArrowRight');
  await page.getByLabel('Part of the vehicle').selectOption({ index: 1 });
  await page.getByLabel('What it is').selectOption({ label: 'scratch' });
  await page.getByLabel('Longest extent').fill('20');
  await page.getByText('On the surface', { exact: true }).click();
  await keep(page, '05-mark');
  await page.getByRole('button', { name: 'Put this mark down' }).click();
  await expect(page.getByRole('region', { name: 'Found on this walk-round' }).getByText(/scratch, 20 mm/)).toBeVisible();
  await allSent(page);
  await keep(page, '06-marks');
  await page.getByRole('link', { name: 'Done here' }).click();
  await page.getByRole('button', { name: 'Go on' }).click();

  // A weight that cannot be: the server's own words stand at the question, and nothing typed is gone.
  await page.getByRole('link', { name: 'Back' }).click();
  await openStep(page, 'Offside body', 'Weight of cylinder 1');
  await page.getByLabel('Weight on the scale').fill('1.5');
  await page.getByRole('button', { name: 'Save and go on' }).click();
  await expect(page.getByRole('alert').filter({ hasText: 'under its stamped tare' })).toBeVisible();
  await expect(page.getByLabel('Weight on the scale')).toHaveValue('1.5');
  await keep(page, '07-below-tare');
  await page.getByRole('link', { name: 'Back' }).click();
  // It stands in the way of signing, with the way to it.
  await page.getByRole('link', { name: /^Before signing/ }).click();
  await expect(page.getByRole('button', { name: 'Sign and hand over' })).toBeDisabled();
  await page.getByRole('link', { name: 'Go to it: Weight of cylinder 1: Answer' }).click();
  await expect(page.getByLabel('Weight on the scale')).toHaveValue('1.5');
  await page.getByRole('link', { name: 'Back' }).click();
  await beginWalkRound(page);

  const readings = { odometer: '48213', fuel: { part: 8, percent: '100' }, gross: '13.9' };
  let steps = 0;
  while (await answerOne(page, readings, picture)) steps += 1;
  expect(steps).toBeGreaterThan(100);
  await allSent(page);
  await keep(page, '08-walk-done');

  await page.getByRole('link', { name: 'To the briefing' }).click();
  await keep(page, '09-briefing-start');
  await page.getByRole('button', { name: 'Begin reading' }).click();
  const read = page.getByRole('button', { name: 'I have read and understood this' });
  let topics = 0;
  const readOn = page.getByRole('button', { name: 'Read on' });
  await expect(read.or(readOn)).toBeVisible();
  while (await read.or(readOn).isVisible()) {
    const title = await page.getByRole('heading', { level: 1 }).innerText();
    if (topics < 3 || /hook-up|height/iu.test(title)) await keep(page, `10-briefing-${topics}`);
    // Nothing can be called read before its end has been on the screen.
    await expect(async () => {
      await readOn.click({ timeout: 500 }).catch((error: unknown) => {
        // The button turns into the acknowledgement by itself; whether it has is judged below.
        test.info().annotations.push({ type: 'read on', description: String(error) });
      });
      await expect(read).toBeVisible({ timeout: 1_000 });
    }).toPass({ timeout: 20_000 });
    await read.click();
    await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(title);
    topics += 1;
  }
  expect(topics).toBeGreaterThan(10);
  await expect(page.getByText('Every topic has been seen.')).toBeVisible();
  await page.getByRole('link', { name: 'To signing' }).click();

  await page.getByRole('button', { name: 'Keep this time' }).click();
  await sign(page, 'Hirer’s signature');
  await sign(page, 'Staff signature');
  await allSent(page);
  await keep(page, '11-signing');
  await page.getByRole('button', { name: 'Sign and hand over' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Handed over' })).toBeVisible();
  await keep(page, '12-handed-over');
  await page.context().close();
});

test('return on a phone', async ({ browser }) => {
  test.setTimeout(300_000);
  const page = await phone(browser, 'inspector');
  await page.getByRole('searchbox').fill(reference);
  await page.getByRole('button', { name: 'Find' }).click();
  await page.getByRole('link', { name: new RegExp(reference) }).first().click();
  await page.getByRole('button', { name: /^(Start|Continue) return$/ }).click();
  await expect(page.getByRole('link', { name: /walk-round$/ })).toBeVisible();
  const stops = page.url();
  const picture = await photograph(page, `${reference} back`);
  const step = async (stop: string, title: string) => {
    await page.goto(stops);
    await openStep(page, stop, title);
  };

  // The same photograph again: the known scratch has grown, and there is a new dent.
  await openStep(page, 'Nearside body', 'Nearside, from the front corner');
  await expect(page.getByText('At departure')).toBeVisible();
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(picture);
  await expect(page.getByText('Now', { exact: true })).toBeVisible();
  await keep(page, '21-return-viewpoint');
  await page.getByRole('link', { name: 'See and place marks' }).click();
  const scratch = page.getByRole('listitem').filter({ has: page.getByLabel('Was 20 mm. Now') });
  await scratch.getByLabel('Was 20 mm. Now').fill('60');
  await scratch.getByRole('button', { name: 'Save its size' }).click();
  await expect(page.getByText('Grown from 20 to 60 mm')).toBeVisible();
  await page.getByRole('button', { name: 'Place a new mark' }).click();
  await page.getByRole('application', { name: /^Place of the mark/ }).click({ position: { x: 220, y: 160 } });
  await page.getByLabel('Part of the vehicle').selectOption({ index: 2 });
  await page.getByLabel('What it is').selectOption({ label: 'dent' });
  await page.getByLabel('Longest extent').fill('25');
  await page.getByText('Out of shape', { exact: true }).click();
  await page.getByRole('button', { name: 'Put this mark down' }).click();
  await allSent(page);
  await keep(page, '22-return-marks');

  await step('Cab', 'Fuel level');
  await expect(page.getByRole('region', { name: 'At departure' })).toContainText(/full|100/u);
  const gauge = page.getByRole('group', { name: 'What the gauge shows' });
  if (await gauge.isVisible()) await gauge.locator('label').nth(3).click();
  else await page.getByLabel('What the display shows').fill('40');
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(picture);
  await expect(page.getByText('A photograph is wanted here.')).toBeHidden();
  await keep(page, '23-fuel');
  await page.getByRole('button', { name: 'Save and go on' }).click();
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText('Fuel level');

  await step('Cab', 'Odometer');
  // Less than at departure is refused in words, more is taken.
  await page.getByRole('textbox', { name: 'Odometer' }).fill('48000');
  await page.getByRole('button', { name: 'Save and go on' }).click();
  await expect(page.getByRole('alert').first()).toContainText('48213');
  await page.getByRole('textbox', { name: 'Odometer' }).fill('48500');
  await page.getByLabel(/^Take (a photograph|it again)/).setInputFiles(picture);
  await expect(page.getByText('A photograph is wanted here.')).toBeHidden();
  await page.getByRole('button', { name: 'Save and go on' }).click();
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText('Odometer');

  await step('Rear', 'Cassette state and dose');
  // A page that is loaded anew in the middle of writing loses what is not written yet: it goes on once that is done.
  const gone = async (title: string) => expect(page.getByRole('heading', { level: 1 })).not.toHaveText(title);
  await page.getByText('Full', { exact: true }).click();
  await page.getByRole('button', { name: 'Save and go on' }).click();
  await gone('Cassette state and dose');
  await step('Loose kit', 'Outdoor chairs');
  await page.getByRole('group', { name: 'Pieces counted' }).getByText('1', { exact: true }).click();
  await gone('Outdoor chairs');
  await step('Nearside body', 'Mains inlet');
  await keep(page, '24-question-return');
  await page.getByRole('button', { name: 'Same as departure' }).click();
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText('Mains inlet');
  await allSent(page);

  await page.goto(stops);
  await page.getByRole('link', { name: /^Before signing/ }).click();
  await page.getByRole('button', { name: 'Keep this time' }).click();
  await keep(page, '25-return-signing');
  await sign(page, 'Hirer’s signature');
  await sign(page, 'Staff signature');
  await allSent(page);
  await page.getByRole('button', { name: 'Sign and take back' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Taken back' })).toBeVisible();
  await page.context().close();
});

test('the office decides, settles and opens the statement', async ({ browser }) => {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, locale: 'en-GB' });
  const page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  await signIn(page, 'office');
  await keep(page, '31-waiting');
  await page.getByRole('link', { name: new RegExp(reference) }).click();
  await expect(page.getByRole('heading', { name: 'Proposed lines' })).toBeVisible();

  const rows = page.locator('li[id^="line-"]');
  await expect(rows.first()).toBeVisible();
  const count = await rows.count();
  expect(count).toBeGreaterThanOrEqual(5);
  // Every line says why.
  for (const row of await rows.all()) await expect(row).toContainText(/\d/u);
  await keep(page, '32-bench');
  await page.keyboard.press('e');
  await expect(page.getByRole('region', { name: /^Evidence/ })).toBeVisible();
  await keep(page, '33-evidence');
  await page.keyboard.press('e');
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog')).toBeVisible();
  await page.keyboard.press('Escape');

  // By keyboard: one waived, one adjusted, the rest accepted, with a reason where one is asked for.
  await page.keyboard.press('w');
  await page.getByRole('form', { name: 'Waive' }).getByLabel('Reason').fill('goodwill after a long drive');
  await page.keyboard.press('Enter');
  await expect(rows.filter({ hasText: 'waived' })).toHaveCount(1);
  await page.keyboard.press('d');
  const adjust = page.getByRole('form', { name: 'Adjust' });
  await adjust.getByLabel(/^(Charge instead|Estimate)/).fill('12.34');
  await adjust.getByLabel('Reason').fill('agreed at the yard');
  await page.keyboard.press('Enter');
  await expect(rows.filter({ hasText: 'adjusted' })).toHaveCount(1);
  const settled = rows.filter({ has: page.getByText(/^(accepted|adjusted|waived)$/u) });
  for (let i = 0; i < count * 2; i += 1) {
    const open = await page.getByText('every line is decided').isVisible();
    if (open) break;
    const decided = await settled.count();
    await page.keyboard.press('a');
    const form = page.getByRole('form', { name: /^(Accept|Adjust)$/ });
    await expect(async () => {
      const now = await settled.count();
      expect(now > decided || (await form.isVisible())).toBe(true);
    }).toPass();
    if (await form.isVisible()) {
      const estimate = form.getByLabel(/^(Charge instead|Estimate)/);
      if (await estimate.isVisible()) await estimate.fill('80');
      await form.getByLabel('Reason').fill('looked at by the office');
      await page.keyboard.press('Enter');
      await expect(form).toBeHidden();
    }
  }
  await expect(page.getByText('every line is decided')).toBeVisible();
  await keep(page, '34-decided');

  await page.getByRole('link', { name: 'To the settlement' }).click();
  await expect(page.getByRole('button', { name: /^Capture/ })).toBeVisible();
  await keep(page, '35-settlement');
  await page.getByRole('button', { name: /^Capture/ }).click();
  await page.getByRole('button', { name: /^Release the remaining/ }).click();
  await expect(page.getByText('Nothing is owed, either way.')).toBeVisible();
  await keep(page, '36-settled');
  await page.getByRole('button', { name: 'Close the settlement' }).click();
  await expect(page.getByRole('heading', { level: 1, name: `Statement ${reference}` })).toBeVisible();
  await expect(page.getByText(/^Closed on/)).toBeVisible();
  await expect(page.getByRole('region', { name: 'Charged', exact: true })).toContainText('£12.34');
  await keep(page, '37-statement');
  const [printed] = await Promise.all([page.waitForEvent('popup'), page.getByRole('button', { name: 'Page for printing' }).click()]);
  await expect(printed.locator('body')).toContainText(reference);
  await context.close();
});
