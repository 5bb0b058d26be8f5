// Before and after on one screen: laid over each other, and the places worth a look made a mark or dismissed, by thumb
// on a phone and by keys at a desk.
import { readFileSync } from 'node:fs';
import AxeBuilder from '@axe-core/playwright';
import { devices, expect, test, type Browser, type Page } from '@playwright/test';
import { allSent, openStep, signIn } from './screens';

const shots = process.env['HANDSEL_SHOTS'];
// Out with a coachbuilt vehicle and due today, in the demonstration.
const reference = 'FW-2075';
const back = (viewpoint: string) => new URL(`../../fixtures/photos/coachbuilt-${viewpoint}-back.jpg`, import.meta.url).pathname;

/** A picture with a hole broken into it, by shares of its width and height: nobody could overlook that. */
async function broken(page: Page, path: string, x: number, y: number): Promise<{ name: string; mimeType: string; buffer: Buffer }> {
  const base64 = await page.evaluate(
    async ([data, at]) => {
      const picture = await createImageBitmap(new Blob([Uint8Array.from(atob(data), (c) => c.charCodeAt(0))], { type: 'image/jpeg' }));
      const canvas = document.createElement('canvas');
      [canvas.width, canvas.height] = [picture.width, picture.height];
      const ink = canvas.getContext('2d');
      if (!ink) throw new Error('no canvas');
      ink.drawImage(picture, 0, 0);
      const reach = [1, 0.7, 1.05, 0.6, 0.95, 0.75, 1.1, 0.65, 0.9];
      ink.beginPath();
      for (const [k, far] of reach.entries()) {
        const [turn, length] = [(k * 2 * Math.PI) / reach.length, (far * picture.width) / 28];
        ink.lineTo(at[0] * picture.width + length * Math.cos(turn), at[1] * picture.height + 0.8 * length * Math.sin(turn));
      }
      ink.closePath();
      ink.fillStyle = '#2c2826';
      ink.strokeStyle = '#e6e4e1';
      ink.lineWidth = 2;
      ink.fill();
      ink.stroke();
      return canvas.toDataURL('image/jpeg', 0.9).split(',')[1] ?? '';
    },
    [readFileSync(path).toString('base64'), [x, y]] as const,
  );
  return { name: 'back.jpg', mimeType: 'image/jpeg', buffer: Buffer.from(base64, 'base64') };
}

async function keep(page: Page, name: string): Promise<void> {
  if (shots) await page.screenshot({ path: `${shots}/${name}.png`, fullPage: false });
}

async function readable(page: Page, what: string): Promise<void> {
  const found = await new AxeBuilder({ page }).analyze();
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical');
  expect(grave.map((v) => `${what}: ${v.id}, ${v.nodes.map((n) => n.target.join(' ')).join('; ')}`)).toEqual([]);
}

async function inspector(browser: Browser, screen: 'phone' | 'desk'): Promise<Page> {
  const phone = { ...devices['Pixel 7'], viewport: { width: 390, height: 844 } };
  const context = await browser.newContext({ ...(screen === 'phone' ? phone : { viewport: { width: 1440, height: 900 } }), locale: 'en-GB' });
  const page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  await signIn(page, 'inspector');
  return page;
}

async function openReturn(page: Page): Promise<string> {
  await page.goto('/today');
  await page.getByRole('searchbox').fill(reference);
  await page.getByRole('button', { name: 'Find' }).click();
  await page.getByRole('link', { name: new RegExp(reference) }).first().click();
  await page.getByRole('button', { name: /^(Start|Continue) return$/u }).click();
  await expect(page).toHaveURL(/\/inspections\/[0-9a-f-]+$/u);
  return page.url();
}

/** Photographs a viewpoint and waits until the two have been compared. */
async function compare(page: Page, stop: string, step: string, picture: Awaited<ReturnType<typeof broken>>): Promise<void> {
  await openStep(page, stop, step);
  await page.getByLabel(/^Take (a photograph|it again)/u).setInputFiles(picture);
  await page.getByRole('link', { name: 'Compare with departure' }).click();
  // A demonstration that was just laid out may still be at its own photographs.
  await expect(page.getByText(/worth a look\. Pointers are for a person to judge; they never charge anybody\./u)).toBeVisible({ timeout: 180_000 });
}

const both = (page: Page) => page.locator('figure img');
const outlines = (page: Page) => page.locator('.outline');
const pointers = (page: Page) => page.locator('li.pointer');

/** How much of the departure's photograph the swipe leaves to be seen. */
const clip = (page: Page) => page.locator('.frame img').nth(1).evaluate((img) => getComputedStyle(img).clipPath);

test.describe.configure({ mode: 'serial' });

test('by thumb: looked at three ways, and a pointer becomes a mark', async ({ browser }) => {
  const page = await inspector(browser, 'phone');
  await openReturn(page);
  await compare(page, 'Rear', 'Rear, straight on', await broken(page, back('rear'), 0.6, 0.6));

  await expect(both(page)).toHaveCount(2);
  const count = await pointers(page).count();
  expect(count).toBeGreaterThan(0);
  await expect(outlines(page)).toHaveCount(2 * count);
  await expect(outlines(page).first()).toHaveText('1');
  await keep(page, '41-compare-beside');
  await readable(page, 'compare');

  // What a thumb has to hit is large enough for one.
  for (const target of await page.locator('main button:visible, main label:has(input):visible, footer a:visible, footer button:visible').all()) {
    const box = await target.boundingBox();
    expect(box && Math.min(box.width, box.height), await target.innerText()).toBeGreaterThanOrEqual(44);
  }

  await page.getByText('Swipe', { exact: true }).tap();
  await expect(page.getByRole('slider')).toBeVisible();
  await keep(page, '42-compare-swipe');
  await page.getByText('Flicker', { exact: true }).tap();
  const flick = page.getByRole('button', { name: /^Showing:/u });
  const shown = () => page.locator('.frame img').getAttribute('src');
  const [now, words] = [await shown(), await flick.innerText()];
  await flick.tap();
  await expect(flick).not.toHaveText(words);
  expect(await shown()).not.toBe(now);
  await keep(page, '43-compare-flicker');

  await page.getByRole('button', { name: 'It is a mark: 1' }).tap();
  await expect(page.getByText('It becomes a mark only when you save it.')).toBeVisible();
  await page.getByLabel('Part of the vehicle').selectOption({ index: 1 });
  await page.getByLabel('What it is').selectOption({ label: 'dent' });
  await page.getByLabel('Longest extent').fill('240');
  await page.getByText('Out of shape', { exact: true }).tap();
  await keep(page, '44-compare-mark');
  await page.getByRole('button', { name: 'Put this mark down' }).tap();
  await expect(pointers(page).first()).toContainText('Made a mark');
  await expect(outlines(page).first()).toHaveClass(/done/u);
  await allSent(page);
  await keep(page, '45-compare-made');
  await page.getByRole('link', { name: /marks$/iu }).tap();
  await expect(page.getByRole('region', { name: 'Found on this walk-round' }).getByText(/dent, 240 mm/u)).toBeVisible();
  await page.context().close();
});

test('by keys: swiped, dismissed and looked at again, in English and in German', async ({ browser }) => {
  const page = await inspector(browser, 'desk');
  await openReturn(page);
  await compare(page, 'Offside body', 'Offside, from the rear corner', await broken(page, back('offside_rear'), 0.45, 0.5));
  await expect(both(page)).toHaveCount(2);
  await keep(page, '46-compare-desk');

  const press = async (key: string, times = 1) => {
    for (let i = 0; i < times; i += 1) await page.keyboard.press(key);
  };
  /** Tabs on until something of that name has the focus. */
  const reach = async (role: 'radio' | 'slider' | 'button', name: string | RegExp) => {
    const target = page.getByRole(role, { name }).first();
    await expect(async () => {
      await page.keyboard.press('Tab');
      await expect(target).toBeFocused({ timeout: 50 });
    }).toPass({ intervals: [10], timeout: 15_000 });
  };
  await reach('radio', 'Side by side');
  await press('ArrowRight');
  await expect(page.getByRole('radio', { name: 'Swipe' })).toBeChecked();
  await reach('slider', /departure/u);
  const half = await clip(page);
  await press('ArrowRight', 10);
  await expect(page.getByRole('slider')).toHaveValue('60');
  expect(await clip(page)).not.toBe(half);
  await keep(page, '47-compare-desk-swipe');

  await reach('button', 'Nothing there: 1');
  await press('Enter');
  await expect(pointers(page).first()).toContainText('Looked at: nothing there');
  // The focus stays with the place: it can be taken back at once.
  await expect(page.getByRole('button', { name: 'Look again: 1' })).toBeFocused();
  await press('Enter');
  await expect(pointers(page).first()).toContainText('Worth a look');
  await expect(page.getByRole('button', { name: 'It is a mark: 1' })).toBeFocused();
  await reach('button', 'Nothing there: 1');
  await press('Enter');
  await expect(pointers(page).first()).toContainText('Looked at: nothing there');
  await readable(page, 'compare in English');

  await page.getByRole('button', { name: 'Menu' }).click();
  await page.getByRole('button', { name: 'Deutsch' }).click();
  await expect(page.getByText('Angesehen: dort ist nichts')).toBeVisible();
  await page.reload();
  await expect(page.getByText(/einen Blick wert\. Hinweise beurteilt ein Mensch; sie berechnen nie etwas\./u)).toBeVisible();
  await expect(page.getByRole('radio', { name: 'Nebeneinander' })).toBeVisible();
  await readable(page, 'compare in German');
  await keep(page, '48-compare-german');
  await page.context().close();
});
