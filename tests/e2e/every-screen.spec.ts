// Every screen in both languages and in both colours, as assistive technology reads it and as a wet thumb meets it.
import AxeBuilder from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';
import { phoneContext, signInAs } from './device';
import { goTo, places } from './screens-all';
import { Direct, TestServer } from './server';

const LEAST_PX = 44;

let server: TestServer;
test.beforeAll(async () => {
  server = await TestServer.start();
});
test.afterAll(() => server.end());

/** What can be tapped and is smaller than a thumb, or lies outside of the screen's width. */
async function smallTargets(page: Page): Promise<string[]> {
  // Not the window's own width: a page that is too wide makes a phone's window wider along with it.
  const width = page.viewportSize()?.width ?? 0;
  return page.evaluate(([least, width]) => {
    const found: string[] = [];
    const controls = 'a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button], [role=application]';
    for (const element of Array.from(document.querySelectorAll<HTMLElement>(controls))) {
      // A control that is not to be seen is reached through its label.
      const unseen = element.classList.contains('unseen');
      const target = unseen || element.matches('input[type=checkbox], input[type=radio]') ? element.closest('label') : element;
      if (!target || !target.checkVisibility({ checkVisibilityCSS: true, opacityProperty: true })) continue;
      if (target.classList.contains('skip') && !target.matches(':focus')) continue;
      const box = target.getBoundingClientRect();
      // A link within a sentence is as high as its line.
      const inWords = target.matches('a:not(.button)') && target.parentElement?.tagName === 'P' && target.parentElement.textContent?.trim() !== target.textContent?.trim();
      if (inWords) continue;
      if (box.width < least - 0.5 || box.height < least - 0.5) found.push(`${target.tagName.toLowerCase()}.${target.className} “${target.textContent?.trim().slice(0, 40)}” ${Math.round(box.width)} × ${Math.round(box.height)}`);
    }
    if (document.documentElement.scrollWidth > width + 1) found.push(`the page is ${document.documentElement.scrollWidth} px wide`);
    return found;
  }, [LEAST_PX, width] as const);
}

// Colours do not depend on the language, and the lengths of words not on the colours: two of the four say all of it.
for (const [language, colorScheme] of [['en', 'light'], ['de', 'dark']] as const) {
  test(`every screen can be read and tapped: ${language}, ${colorScheme}`, async ({ browser }) => {
    test.setTimeout(900_000);
    const context = await phoneContext(browser, server.url, { colorScheme, reducedMotion: 'reduce' });
    const page = await context.newPage();
    const faults: string[] = [];
    const check = async (name: string) => {
      const { violations } = await new AxeBuilder({ page }).analyze();
      for (const v of violations) if (v.impact === 'serious' || v.impact === 'critical') faults.push(`${name}: ${v.id}: ${v.nodes.map((n) => n.target.join(' ')).join('; ')}`);
      for (const target of await smallTargets(page)) faults.push(`${name}: ${target}`);
    };
    await page.goto('/sign-in');
    await check('sign-in');
    await signInAs(page, 'manager', server.password);
    if (language === 'de') {
      await page.getByRole('button', { name: 'Menu' }).click();
      await page.getByRole('button', { name: 'Deutsch' }).click();
      await expect(page.locator('html')).toHaveAttribute('lang', 'de');
      await page.keyboard.press('Escape');
    }
    for (const place of await places(new Direct(server))) {
      await goTo(page, place.path);
      await check(place.name);
    }
    expect(faults).toEqual([]);
    await context.close();
  });
}
