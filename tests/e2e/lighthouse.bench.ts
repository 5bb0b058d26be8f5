// Lighthouse on screens that need somebody signed in: in a browser that has been signed in before. Prints, and judges
// nothing. Started by tests/bench/lighthouse.
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { chromium, expect, test } from '@playwright/test';
import { signInAs } from './device';
import { TestServer } from './server';

interface Result {
  lhr: {
    categories: Record<string, { score: number | null; title: string; auditRefs: { id: string }[] }>;
    audits: Record<string, { title: string; score: number | null; scoreDisplayMode: string; displayValue?: string; details?: { items?: { resourceType?: string; transferSize?: number; url?: string; node?: { selector: string } }[] } }>;
  };
}
type Lighthouse = (url: string, flags: object) => Promise<Result>;

const CATEGORIES = ['performance', 'accessibility', 'best-practices'];

async function freePort(): Promise<number> {
  const net = createServer();
  await new Promise<void>((done) => net.listen(0, '127.0.0.1', done));
  const { port } = net.address() as AddressInfo;
  await new Promise((done) => net.close(done));
  return port;
}

test('scores', async ({}, info) => {
  const path = process.env['LIGHTHOUSE'];
  if (!path) throw new Error('start this by tests/bench/lighthouse');
  const { default: lighthouse } = (await import(pathToFileURL(path).href)) as { default: Lighthouse };
  const server = await TestServer.start();
  const profile = mkdtempSync(join(tmpdir(), 'handsel-lighthouse-'));
  const port = await freePort();
  const launch = info.project.use.launchOptions ?? {};
  const context = await chromium.launchPersistentContext(profile, { ...launch, args: [...(launch.args ?? []), `--remote-debugging-port=${port}`], baseURL: server.url, viewport: { width: 412, height: 823 } });
  try {
    const measure = async (name: string, url: string) => {
      const { lhr } = await lighthouse(url, { port, logLevel: 'error', onlyCategories: CATEGORIES, disableStorageReset: true, formFactor: 'mobile' });
      const scores = CATEGORIES.map((c) => `${lhr.categories[c]?.title} ${Math.round((lhr.categories[c]?.score ?? 0) * 100)}`);
      const requests = lhr.audits['network-requests']?.details?.items ?? [];
      const script = requests.filter((r) => r.resourceType === 'Script').reduce((sum, r) => sum + (r.transferSize ?? 0), 0);
      const figures = ['first-contentful-paint', 'largest-contentful-paint', 'total-blocking-time', 'cumulative-layout-shift'].map((a) => `${lhr.audits[a]?.title} ${lhr.audits[a]?.displayValue}`);
      console.log(`${name}: ${scores.join(', ')}; script ${(script / 1024).toFixed(1)} KiB sent; ${figures.join(', ')}`);
      for (const category of CATEGORIES) {
        for (const { id } of lhr.categories[category]?.auditRefs ?? []) {
          const audit = lhr.audits[id];
          if (audit && audit.score !== null && audit.score < 0.9 && audit.scoreDisplayMode !== 'informative') console.log(`  ${category}: ${audit.title} (${audit.score}) ${audit.displayValue ?? ''} ${(audit.details?.items ?? []).flatMap((i) => i.node?.selector ?? []).slice(0, 3).join('; ')}`);
        }
      }
    };
    const page = await context.newPage();
    await measure('Sign in, first visit', `${server.url}/sign-in`);
    await signInAs(page, 'desk', server.password);
    await page.getByRole('link', { name: /FW-/u }).first().waitFor();
    await measure('Today', `${server.url}/today`);
    await page.goto('/today');
    // A departure that is due: begun here, so that there is something to walk round.
    await page.getByRole('link', { name: /FW-2083/u }).first().click();
    await page.getByRole('button', { name: /^(Start|Continue) departure$/u }).click();
    await expect(page).toHaveURL(/\/inspections\/[0-9a-f-]{36}$/u);
    await measure('Stops', page.url());
    await page.getByRole('link', { name: /(Begin|Go on with) the walk-round/u }).click();
    await expect(page).toHaveURL(/\/steps\//u);
    await measure('A question', page.url());
  } finally {
    await context.close();
    await server.end();
    rmSync(profile, { recursive: true, force: true });
  }
});
