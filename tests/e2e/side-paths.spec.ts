// What does not go by the book: a topic gone on without, a hirer who is not there; and whether assistive technology can
// read the screens of the walk-round.
import AxeBuilder from '@axe-core/playwright';
import { devices, expect, test, type Browser, type Page } from '@playwright/test';
import { allSent, sign, signIn, type Role } from './screens';

async function phone(browser: Browser, role: Role): Promise<Page> {
  const context = await browser.newContext({ ...devices['Pixel 7'], viewport: { width: 390, height: 844 }, locale: 'en-GB' });
  const page = await context.newPage();
  page.on('pageerror', (error) => {
    throw error;
  });
  await signIn(page, role);
  return page;
}

/** Nothing that assistive technology would stumble over badly. */
async function readable(page: Page, what: string): Promise<void> {
  const found = await new AxeBuilder({ page }).analyze();
  const grave = found.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical');
  expect(grave.map((v) => `${what}: ${v.id}, ${v.nodes.map((n) => n.target.join(' ')).join('; ')}`)).toEqual([]);
}

/** Opens the walk-round of a hire of the demonstration, beginning it where nobody has. */
async function walkRound(page: Page, reference: string, begin: RegExp): Promise<string> {
  await page.goto('/today');
  await page.getByRole('searchbox').fill(reference);
  await page.getByRole('button', { name: 'Find' }).click();
  await page.getByRole('link', { name: new RegExp(reference) }).first().click();
  await expect(page.getByRole('heading', { level: 1, name: `Hire ${reference}` })).toBeVisible();
  await page.getByRole('button', { name: begin }).click();
  await expect(page).toHaveURL(/\/inspections\/[0-9a-f-]+$/u);
  return page.url();
}

test('a topic is gone on without, with a reason, and stays named before signing', async ({ browser }) => {
  const page = await phone(browser, 'desk');
  const stops = await walkRound(page, 'FW-2084', /^(Start|Continue) departure$/u);
  await readable(page, 'stops');
  await page.goto(`${stops}/briefing`);
  // While the topics are being read the button is faint, and cannot be pressed.
  await expect(page.getByRole('button', { name: 'Begin reading' })).toBeEnabled();
  await readable(page, 'briefing, first page');
  await page.getByRole('button', { name: 'Begin reading' }).click();
  await expect(page.getByText(/^1 of \d+$/u)).toBeVisible();
  await readable(page, 'briefing topic');
  const topic = await page.getByRole('heading', { level: 1 }).innerText();
  await page.getByText(/^Staff only/u).click();
  // Without a reason it is not taken.
  await page.getByRole('button', { name: 'Go on without it' }).click();
  await expect(page.getByRole('heading', { level: 1 })).toHaveText(topic);
  await page.getByLabel('Reason, in your own words').fill('the hirer has run this layout for years');
  await page.getByRole('button', { name: 'Go on without it' }).click();
  await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(topic);
  await allSent(page);
  await page.goto(`${stops}/sign`);
  await readable(page, 'before signing');
  // The topics nobody went through still stand in the way.
  await expect(page.getByRole('button', { name: 'Sign and hand over' })).toBeDisabled();
  await page.context().close();
});

test('a hirer who is not there is noted, and the return can be signed without them', async ({ browser }) => {
  const page = await phone(browser, 'inspector');
  const stops = await walkRound(page, 'FW-2080', /^(Start|Continue) return$/u);
  await page.goto(`${stops}/sign`);
  await page.getByRole('button', { name: 'Keep this time' }).click();
  await page.locator('summary').filter({ hasText: 'The hirer is not here' }).click();
  await page.getByLabel('Why the hirer is not here').fill('keys in the drop box');
  await page.getByRole('button', { name: 'Note the absence' }).click();
  await expect(page.getByText('Hirer absent: keys in the drop box')).toBeVisible();
  await sign(page, 'Staff signature');
  await allSent(page);
  await page.getByRole('button', { name: 'Sign and take back' }).click();
  await expect(page.getByRole('heading', { level: 1, name: 'Taken back' })).toBeVisible();
  await page.context().close();
});
