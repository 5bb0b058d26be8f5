// The yard by keyboard alone: every kind of question, a photograph, a mark, the briefing, the signatures, two answers
// to choose from, and the screen of the device. What has the focus is to be seen, and not under the bar.
import { expect, test, type Locator, type Page } from '@playwright/test';
import { everythingSent, fetchedAhead, goWithin, open, phoneContext, signInAs } from './device';
import { Device, newId } from './long-return';
import { photograph } from './screens';
import { Direct, TestServer } from './server';

let server: TestServer;
let direct: Direct;

test.beforeAll(async () => {
  test.setTimeout(300_000);
  server = await TestServer.start();
  direct = new Direct(server);
});
test.afterAll(() => server.end());

interface Template {
  stops: { viewpoints?: { key: string }[]; checkpoints?: { key: string; leg?: string; photo?: string; ask: { kind: string } }[]; inventory?: { key: string }[] }[];
}
interface View {
  entries: { checkpoint: string }[];
  briefings: { acknowledged_at?: string }[];
  marks: { size_mm: number; x: string }[];
  photos: unknown[];
  status: string;
  conflicts: unknown[];
}

const press = async (page: Page, key: string, times = 1) => {
  for (let i = 0; i < times; i += 1) await page.keyboard.press(key);
};

/** Tabs on until it has the focus; and a person can see that it has. */
async function reach(page: Page, target: Locator): Promise<void> {
  await expect(target).toBeVisible();
  await expect(async () => {
    await page.keyboard.press('Tab');
    expect(await target.evaluate((element) => element === document.activeElement)).toBe(true);
  }).toPass({ intervals: [1], timeout: 30_000 });
  const seen = await target.evaluate((element) => {
    // A control that is not itself drawn shows the focus on its label.
    const drawn = element.classList.contains('unseen') ? (element.closest('label') ?? element) : element;
    const style = getComputedStyle(drawn);
    const box = drawn.getBoundingClientRect();
    const bar = document.querySelector('footer')?.getBoundingClientRect().top ?? window.innerHeight;
    const inBar = drawn.closest('footer, dialog') !== null;
    return { outline: Number.parseFloat(style.outlineWidth), line: style.outlineStyle, above: inBar || box.top < bar - 8, below: box.bottom > 8 };
  });
  expect(seen).toMatchObject({ line: 'solid', above: true, below: true });
  expect(seen.outline).toBeGreaterThanOrEqual(2);
}

async function act(page: Page, target: Locator, key = 'Enter'): Promise<void> {
  await reach(page, target);
  await page.keyboard.press(key);
}

async function type(page: Page, name: string | RegExp, text: string): Promise<void> {
  await reach(page, page.getByRole('textbox', { name }));
  await press(page, 'Control+A');
  await page.keyboard.type(text);
}

/** One of a group of radios: the group is reached, the arrows go to it, the space bar or Enter means it. */
async function choose(page: Page, group: string | RegExp, times: number): Promise<void> {
  const radios = page.getByRole('group', { name: group }).getByRole('radio');
  await expect(radios.first()).toBeVisible();
  await expect(async () => {
    await page.keyboard.press('Tab');
    expect(await radios.evaluateAll((all) => all.includes(document.activeElement as HTMLInputElement))).toBe(true);
  }).toPass({ intervals: [1], timeout: 30_000 });
  await press(page, 'Space');
  await press(page, 'ArrowDown', times);
}

async function begin(hire: string, leg: string): Promise<string> {
  const id = newId();
  await direct.raw('manager', `/hires/${hire}/inspections`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ id, leg }) });
  return id;
}

async function hireThatIs(status: string): Promise<string> {
  // Asked for by the one who will open it: a manager's list holds other depots' hires too.
  const { items } = await direct.get<{ items: { id: string; status: string; departure: string | null; return: string | null }[] }>('/hires?limit=200', 'desk');
  const found = items.find((h) => h.status === status && (status === 'booked' ? h.departure === null : h.return === null && h.departure !== null));
  if (!found) throw new Error(`no hire is ${status}`);
  return found.id;
}

async function drawn(page: Page, whose: string): Promise<void> {
  await reach(page, page.getByRole('application', { name: `Field for signing: ${whose}` }));
  await press(page, 'Space');
  for (let i = 0; i < 4; i += 1) {
    await press(page, 'Shift+ArrowRight', 2);
    await press(page, i % 2 === 0 ? 'Shift+ArrowUp' : 'Shift+ArrowDown', 3);
  }
  await press(page, 'Space');
  await act(page, page.getByRole('button', { name: `Keep this signature: ${whose}` }));
  await expect(page.getByRole('region', { name: whose }).getByText(/^✓ Signed by/u)).toBeVisible();
}

test('a departure by keys: questions of every kind, a photograph, a mark and the briefing', async ({ browser }) => {
  test.setTimeout(150_000);
  const inspection = await begin(await hireThatIs('booked'), 'departure');
  const context = await phoneContext(browser, server.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  const picture = await photograph(page, 'by keys');
  await page.goto(`/inspections/${inspection}`);

  // A stop is unfolded, and a question of it opened.
  await act(page, page.locator('summary').filter({ hasText: /left$/u }).first());
  await act(page, page.locator('details[open] a.step').first());
  await expect(page).toHaveURL(/\/steps\//u);
  await expect(page.getByRole('heading', { level: 1 })).toBeFocused();
  const chooser = page.waitForEvent('filechooser');
  await act(page, page.getByRole('contentinfo').getByRole('button', { name: 'Take a photograph' }));
  await (await chooser).setFiles(picture);
  await act(page, page.getByRole('link', { name: 'See and place marks' }));
  await act(page, page.getByRole('button', { name: 'Place a new mark' }));
  await reach(page, page.getByRole('application', { name: /^Place of the mark/u }));
  await press(page, 'ArrowLeft');
  await press(page, 'Shift+ArrowLeft', 3);
  await reach(page, page.getByLabel('Part of the vehicle'));
  await press(page, 'ArrowDown');
  await reach(page, page.getByLabel('What it is'));
  await press(page, 'ArrowDown');
  await type(page, /^Longest extent/u, '20');
  await choose(page, 'How deep', 1);
  await act(page, page.getByRole('button', { name: 'Put this mark down' }));
  await expect(page.getByRole('region', { name: 'Found on this walk-round' }).getByText(/20 mm/u)).toBeVisible();

  const template = await direct.get<Template>(`/inspections/${inspection}/template`);
  const asked = template.stops.flatMap((s) => s.checkpoints ?? []).filter((c) => c.leg !== 'return' && c.photo !== 'required');
  const kinds = new Map(asked.map((c) => [c.ask.kind, c.key]));
  const item = template.stops.flatMap((s) => s.inventory ?? [])[0];
  if (item) kinds.set('count', item.key);
  const save = () => act(page, page.getByRole('button', { name: 'Save and go on' }));
  const answers: Record<string, () => Promise<void>> = {
    condition: () => act(page, page.getByRole('contentinfo').getByRole('button', { name: 'In order' })),
    odometer: async () => {
      await type(page, 'Odometer', '48213');
      await save();
    },
    fuel: async () => {
      if (await page.getByRole('textbox', { name: 'What the display shows' }).isVisible()) await type(page, 'What the display shows', '100');
      else await choose(page, 'What the gauge shows', 1);
      await save();
    },
    water: async () => {
      await choose(page, 'What the gauge shows', 1);
      await act(page, page.getByRole('checkbox', { name: /^Drained/u }), 'Space');
      await save();
    },
    cylinder: async () => {
      await type(page, 'Weight on the scale', '13.9');
      await save();
    },
    leisure_battery: async () => {
      await type(page, 'Voltage', '12.7');
      await type(page, /^Minutes at rest/u, '240');
      await save();
    },
    starter_battery: async () => {
      await type(page, 'Voltage', '12.6');
      await save();
    },
    tread: async () => {
      await type(page, 'Shallowest tread measured', '5.5');
      await save();
    },
    cassette: async () => {
      await choose(page, 'Question', 0);
      await act(page, page.getByRole('checkbox'), 'Space');
      await save();
    },
    keys: () => choose(page, 'Keys counted', 0),
    count: async () => {
      if (await page.getByRole('group', { name: 'Pieces counted' }).isVisible()) await choose(page, 'Pieces counted', 0);
      else await act(page, page.getByRole('main').getByRole('button', { name: /^\d+$/u }));
    },
    cleanliness: () => choose(page, 'How clean', 0),
  };
  for (const [kind, key] of kinds) {
    const way = answers[kind];
    if (!way) throw new Error(`no way by keys to answer ${kind}`);
    const path = `/inspections/${inspection}/steps/${encodeURIComponent(key)}`;
    await goWithin(page, path);
    await expect(page.getByRole('heading', { level: 1 })).toBeFocused();
    await way();
    await page.waitForURL((url) => url.pathname !== path, { waitUntil: 'commit' });
  }

  await goWithin(page, `/inspections/${inspection}`);
  await act(page, page.getByRole('link', { name: /^Briefing of the hirer/u }));
  await act(page, page.getByRole('button', { name: 'Begin reading' }));
  for (let topics = 0; topics < 2; topics += 1) {
    const title = await page.getByRole('heading', { level: 1 }).innerText();
    const read = page.getByRole('button', { name: 'I have read and understood this' });
    await expect(async () => {
      // To the end of the topic as any page is gone through by keys; the acknowledgement comes by itself.
      await page.keyboard.press('End');
      await expect(read).toBeVisible({ timeout: 1_500 });
    }).toPass({ timeout: 30_000 });
    await act(page, read);
    await expect(page.getByRole('heading', { level: 1 })).not.toHaveText(title);
  }
  await act(page, page.getByRole('button', { name: 'Deutsch' }));
  await expect(page.getByRole('button', { name: 'English' })).toBeVisible();

  await everythingSent(page);
  const view = await direct.get<View>(`/inspections/${inspection}`);
  expect(new Set(view.entries.map((e) => e.checkpoint))).toEqual(new Set(kinds.values()));
  expect(view.photos).toHaveLength(1);
  expect(view.marks.map((m) => [m.size_mm, Number(m.x) < 0.5])).toEqual([[20, true]]);
  expect(view.briefings.filter((b) => b.acknowledged_at !== undefined)).toHaveLength(2);
  await context.close();
});

test('a return by keys: two answers chosen from, both signatures drawn, an addendum, and the device', async ({ browser }) => {
  test.setTimeout(150_000);
  const inspection = await begin(await hireThatIs('out'), 'return');
  const template = await direct.get<Template>(`/inspections/${inspection}/template`);
  const question = template.stops.flatMap((s) => s.checkpoints ?? []).find((c) => c.ask.kind === 'condition' && c.leg !== 'departure' && c.photo !== 'required')?.key ?? '';
  const answer = (state: string) => ({ kind: 'entry', id: newId(), input: { checkpoint: question, answer: { kind: 'condition', state }, photos: [], note: `it is ${state}`, recorded_at: new Date().toISOString(), replaces: [] } });
  await new Device(direct, inspection).send([answer('in_order')]);
  await new Device(direct, inspection).send([answer('missing')]);

  const context = await phoneContext(browser, server.url);
  const page = await open(context);
  await signInAs(page, 'desk', server.password);
  await fetchedAhead(page);
  await act(page, page.getByRole('button', { name: 'Fetch ahead now' }));
  await expect(page.getByText(/fetched ahead on/u)).toBeVisible({ timeout: 60_000 });
  await reach(page, page.getByRole('button', { name: 'Clear' }));

  await page.goto(`/inspections/${inspection}`);
  await act(page, page.getByRole('region', { name: /^1 question has two answers/u }).getByRole('link'));
  await act(page, page.getByRole('button', { name: /^This one is right: Missing/u }));
  await expect(page.getByRole('region', { name: 'Two answers' })).toBeHidden();
  await act(page, page.getByRole('link', { name: 'Back' }));
  await act(page, page.getByRole('link', { name: /^Before signing/u }));
  await act(page, page.getByRole('button', { name: 'Keep this time' }));
  await drawn(page, 'Hirer’s signature');
  await drawn(page, 'Staff signature');
  await everythingSent(page);
  await act(page, page.getByRole('button', { name: 'Sign and take back' }));
  await expect(page.getByRole('heading', { level: 1, name: 'Taken back' })).toBeVisible();

  await act(page, page.getByRole('link', { name: 'Add something' }));
  await reach(page, page.getByRole('textbox', { name: 'What is to be added' }));
  await page.keyboard.type('The second key came by post.');
  await act(page, page.getByRole('button', { name: 'Add this' }));
  await expect(page.getByRole('listitem').filter({ hasText: 'The second key came by post.' })).toContainText(/Its own seal: [0-9a-f]{4}/u);
  await everythingSent(page);
  const view = await direct.get<View & { addenda: { words: string }[]; seal: object | null }>(`/inspections/${inspection}`);
  expect(view.conflicts).toEqual([]);
  expect(view.status).toBe('signed');
  expect(view.seal).not.toBeNull();
  expect(view.addenda.map((a) => a.words)).toEqual(['The second key came by post.']);
  await context.close();
});
