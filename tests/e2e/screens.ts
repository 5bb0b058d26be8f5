// How a person gets through the screens: by what they are called, not by how they are built.
import { expect, type Page } from '@playwright/test';

export type Role = 'desk' | 'inspector' | 'office';

/** Accounts of the running server; their addresses and passwords come from the environment. */
export function account(role: Role): { email: string; password: string } {
  const name = role.toUpperCase();
  const email = process.env[`HANDSEL_${name}_EMAIL`];
  const password = process.env[`HANDSEL_${name}_PASSWORD`] ?? process.env['HANDSEL_PASSWORD'];
  if (!email || !password) {
    throw new Error(`set HANDSEL_${name}_EMAIL, and HANDSEL_${name}_PASSWORD or HANDSEL_PASSWORD, to an account of the server`);
  }
  return { email, password };
}

export async function signIn(page: Page, role: Role): Promise<void> {
  const { email, password } = account(role);
  await page.goto('/sign-in');
  await page.getByLabel('Email').fill(email);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await expect(page.getByRole('heading', { level: 1, name: role === 'office' ? 'Waiting for a decision' : 'Today' })).toBeVisible();
}

/** A photograph made on the spot: a plain wall and window with words on it, sharp enough to be looked at. */
export async function photograph(page: Page, words: string): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const base64 = await page.evaluate(async (text) => {
    const canvas = document.createElement('canvas');
    canvas.width = 1600;
    canvas.height = 1200;
    const ink = canvas.getContext('2d');
    if (!ink) throw new Error('no canvas');
    const box = (colour: string, x: number, y: number, w: number, h: number) => {
      ink.fillStyle = colour;
      ink.fillRect(x, y, w, h);
    };
    box('#8fa3ad', 0, 0, 1600, 1200);
    box('#6d6a5d', 0, 900, 1600, 300);
    box('#efeee9', 160, 240, 1280, 660);
    box('#33383a', 320, 360, 320, 220);
    ink.fillStyle = '#1c1b18';
    ink.font = '64px serif';
    ink.fillText(text, 700, 500);
    for (let i = 0; i < 60; i += 1) box(i % 2 === 0 ? '#55524a' : '#c9c2b1', 200 + i * 20, 700, 12, 60);
    const blob = await new Promise<Blob | null>((done) => canvas.toBlob(done, 'image/jpeg', 0.9));
    if (!blob) throw new Error('no picture');
    const bytes = new Uint8Array(await blob.arrayBuffer());
    let binary = '';
    for (const byte of bytes) binary += String.fromCharCode(byte);
    return btoa(binary);
  }, words);
  return { name: 'photo.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(base64, 'base64') };
}

export async function allSent(page: Page): Promise<void> {
  await expect(page.getByText('Everything is with the server.')).toBeVisible();
}

const heading = (page: Page) => page.getByRole('heading', { level: 1 });

/** What the readings of a walk-round say. */
export interface Readings {
  odometer: string;
  /** Eighths, or per cent where the display shows that. */
  fuel: { part: number; percent: string };
  gross: string;
}

/** From the list of stops to the first question, which is there only a little after the click. */
export async function beginWalkRound(page: Page): Promise<void> {
  await page.getByRole('link', { name: /walk-round$/ }).click();
  await page.waitForURL(/\/steps\//u);
}

/**
 * Answers the one question on the screen as somebody would who finds everything in order, and waits for the next.
 * Returns false when the walk-round has no question left.
 */
export async function answerOne(page: Page, readings: Readings, picture: Awaited<ReturnType<typeof photograph>>): Promise<boolean> {
  const before = page.url();
  if (!before.includes('/steps/')) return false;
  await expect(heading(page)).not.toHaveText('Loading…');
  const field = (name: string | RegExp) => page.getByRole('textbox', { name });
  const radio = (name: string | RegExp) => page.getByRole('radio', { name });
  const save = () => page.getByRole('button', { name: 'Save and go on' }).click();

  const needsPhoto = page.getByText('A photograph is wanted here.');
  const viewpoint = page.getByRole('button', { name: 'Leave open for now' }).and(page.locator(':visible'));
  if (await needsPhoto.isVisible()) {
    await page.getByLabel(/^Take a photograph/).setInputFiles(picture);
    await expect(needsPhoto).toBeHidden();
  }
  if (await radio('In order').isVisible()) {
    await page.getByRole('button', { name: 'In order' }).click();
  } else if (await field('Odometer').isVisible()) {
    await field('Odometer').fill(readings.odometer);
    await save();
  } else if (await field('Weight on the scale').isVisible()) {
    await field('Weight on the scale').fill(readings.gross);
    await save();
  } else if (await field(/^Minutes at rest/).isVisible()) {
    await field('Voltage').fill('12.7');
    await field(/^Minutes at rest/).fill('240');
    await save();
  } else if (await field('Voltage').isVisible()) {
    await field('Voltage').fill('12.6');
    await save();
  } else if (await field('Shallowest tread measured').isVisible()) {
    await field('Shallowest tread measured').fill('5.5');
    await save();
  } else if (await page.getByRole('checkbox', { name: /^Drained/ }).isVisible()) {
    await page.getByText('empty', { exact: true }).click();
    await page.getByRole('checkbox', { name: /^Drained/ }).check();
    await save();
  } else if (await page.getByRole('group', { name: 'What the gauge shows' }).isVisible()) {
    await page.getByRole('group', { name: 'What the gauge shows' }).locator('label').nth(readings.fuel.part).click();
    await save();
  } else if (await field('What the display shows').isVisible()) {
    await field('What the display shows').fill(readings.fuel.percent);
    await save();
  } else if (await radio('Empty and rinsed').isVisible()) {
    await page.getByRole('checkbox').check();
    await page.getByText('Empty and rinsed', { exact: true }).click();
    await save();
  } else if (await page.getByRole('group', { name: /^(Pieces|Keys) counted/ }).isVisible()) {
    await page.getByRole('group', { name: /^(Pieces|Keys) counted/ }).locator('label').last().click();
  } else if (await field(/^(Pieces|Keys) counted/).isVisible()) {
    await page.getByRole('main').getByRole('button').last().click();
  } else if (await page.getByRole('group', { name: 'How clean' }).isVisible()) {
    await page.getByRole('group', { name: 'How clean' }).locator('label').first().click();
  } else if (await viewpoint.isVisible()) {
    await page.getByLabel(/^Take a photograph/).setInputFiles(picture);
    await page.getByRole('button', { name: 'Go on' }).click();
  } else {
    throw new Error(`no way to answer ${await heading(page).innerText()} at ${before}`);
  }
  // Told by the browser, not asked of the page: asking works within it, at the very moment that a bench measures.
  await page.waitForURL((url) => url.href !== before, { waitUntil: 'commit' });
  return true;
}

/** Opens one step from the list of stops. */
export async function openStep(page: Page, stop: string, step: string): Promise<void> {
  const summary = page.locator('summary').filter({ hasText: stop });
  const entry = page.getByRole('link', { name: new RegExp(`^${step}`) });
  // The stop that was visited last stands open already.
  await expect(summary).toBeVisible();
  if (!(await entry.isVisible())) await summary.click();
  await entry.click();
  await expect(heading(page)).toHaveText(step);
}

/** Draws something that passes for a signature and keeps it. */
export async function sign(page: Page, whose: string): Promise<void> {
  const box = page.getByRole('application', { name: `Field for signing: ${whose}` });
  // To the middle: at the edge the bar with the next action lies over the page.
  await box.evaluate((element) => element.scrollIntoView({ block: 'center' }));
  const area = await box.boundingBox();
  if (!area) throw new Error(`no field for ${whose}`);
  await page.mouse.move(area.x + area.width * 0.15, area.y + area.height * 0.6);
  await page.mouse.down();
  for (let i = 1; i <= 12; i += 1) {
    await page.mouse.move(area.x + area.width * (0.15 + i * 0.05), area.y + area.height * (i % 2 === 0 ? 0.65 : 0.35));
  }
  await page.mouse.up();
  await page.getByRole('button', { name: `Keep this signature: ${whose}` }).click();
  await expect(page.getByRole('region', { name: whose }).getByText(/^✓ Signed by/)).toBeVisible();
}
