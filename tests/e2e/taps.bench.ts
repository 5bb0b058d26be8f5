// How soon the screen answers a tap on a slow telephone, in a long return: from the event to the next paint, as the
// browser's Event Timing tells it. Prints, and judges nothing.
import { expect, test } from '@playwright/test';
import { fetchedAhead, phoneContext, signInAs } from './device';
import { longReturn } from './long-return';
import { answerOne, beginWalkRound, photograph } from './screens';
import { Direct, TestServer } from './server';

const SLOWER = 4;
const QUESTIONS = 250;
const PHOTOGRAPHS = 60;

test('taps in a long return', async ({ browser }) => {
  const server = await TestServer.start();
  try {
    const { inspection } = await longReturn(new Direct(server), QUESTIONS, PHOTOGRAPHS);
    const context = await phoneContext(browser, server.url);
    await context.addInitScript(() => {
      const seen: { id: number; ms: number }[] = [];
      // From a tap to the next question on the screen, which may be later than the answer to the tap.
      const next: number[] = [];
      Object.assign(window, { seen, next });
      let tapped = 0;
      addEventListener('click', (event) => (tapped = event.timeStamp), { capture: true });
      addEventListener('DOMContentLoaded', () => {
        new MutationObserver(() => {
          if (tapped > 0) next.push(performance.now() - tapped);
          tapped = 0;
        }).observe(document.head, { childList: true, subtree: true, characterData: true });
      });
      new PerformanceObserver((list) => {
        for (const entry of list.getEntries() as (PerformanceEntry & { interactionId: number })[]) {
          if (entry.interactionId > 0) seen.push({ id: entry.interactionId, ms: entry.duration });
        }
      }).observe({ type: 'event', durationThreshold: 16, buffered: true } as PerformanceObserverInit);
    });
    const page = await context.newPage();
    await signInAs(page, 'desk', server.password);
    await fetchedAhead(page);
    await page.goto(`/inspections/${inspection}`);
    await expect(page.getByRole('link', { name: /walk-round$/u })).toBeVisible();
    const slow = await context.newCDPSession(page);
    await slow.send('Emulation.setCPUThrottlingRate', { rate: SLOWER });
    await beginWalkRound(page);
    const picture = await photograph(page, 'long return');
    let answered = 0;
    while (answered < QUESTIONS && (await answerOne(page, { odometer: '90400', fuel: { part: 8, percent: '100' }, gross: '13.9' }, picture))) answered += 1;
    // The last events are told a little later.
    await page.waitForTimeout(1000);
    const { seen, next, all } = await page.evaluate(() => ({
      next: (window as unknown as { next: number[] }).next.sort((a, b) => a - b),
      seen: (window as unknown as { seen: { id: number; ms: number }[] }).seen,
      all: (performance as unknown as { interactionCount: number }).interactionCount,
    }));
    const longest = new Map<number, number>();
    for (const { id, ms } of seen) longest.set(id, Math.max(ms, longest.get(id) ?? 0));
    // What took less than 16 ms is counted, not listed.
    const sorted = [...longest.values(), ...Array<number>(Math.max(0, all - longest.size)).fill(8)].sort((a, b) => a - b);
    const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
    console.log(`${answered} steps answered, ${sorted.length} taps and keys, processor slowed ${SLOWER} times: median ${at(0.5)} ms, 95th percentile ${at(0.95)} ms, longest ${at(1)} ms`);
    console.log(`next question after a tap: median ${Math.round(next[Math.floor(next.length / 2)] ?? 0)} ms, 95th percentile ${Math.round(next[Math.floor(next.length * 0.95)] ?? 0)} ms (${next.length} of them)`);
    expect(answered).toBeGreaterThan(200);
  } finally {
    await server.end();
  }
});
