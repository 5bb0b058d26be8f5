// Every screen there is, by its address: what is checked on all of them goes through this list.
import { expect, type Page } from '@playwright/test';
import { newId } from './long-return';
import type { Direct } from './server';

export interface Place {
  name: string;
  path: string;
}

interface Listed<T> {
  items: T[];
}

/** The screens with something on them: hires in every state, a walk-round begun, one that is sealed. */
export async function places(direct: Direct): Promise<Place[]> {
  const { items: hires } = await direct.get<Listed<{ id: string; status: string; vehicle: string; departure: string | null; return: string | null }>>('/hires?limit=200');
  const of = (status: string) => {
    const found = hires.find((h) => h.status === status && (status === 'booked' || h.departure !== null));
    if (!found) throw new Error(`the demonstration has no hire that is ${status}`);
    return found;
  };
  const [booked, out, returned, settled] = [of('booked'), of('out'), of('returned'), of('settled')];
  const begin = async (hire: string, leg: string): Promise<string> => {
    const id = newId();
    await direct.raw('manager', `/hires/${hire}/inspections`, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ id, leg }) });
    return id;
  };
  const walk = out.return ?? (await begin(out.id, 'return'));
  const leaving = booked.departure ?? (await begin(booked.id, 'departure'));
  const template = await direct.get<{ stops: { viewpoints?: { key: string }[]; checkpoints?: { key: string; ask: { kind: string }; leg?: string }[] }[] }>(`/inspections/${walk}/template`);
  const kinds = new Map<string, string>();
  for (const c of template.stops.flatMap((s) => s.checkpoints ?? [])) if (!kinds.has(c.ask.kind) && (c.leg === undefined || c.leg === 'both')) kinds.set(c.ask.kind, c.key);
  const viewpoint = template.stops.flatMap((s) => s.viewpoints ?? [])[0]?.key ?? '';
  const sealed = returned.return;
  return [
    { name: 'today', path: '/today' },
    { name: 'new-hire', path: '/hires/new' },
    { name: 'hire-booked', path: `/hires/${booked.id}` },
    { name: 'hire-out', path: `/hires/${out.id}` },
    { name: 'hire-returned', path: `/hires/${returned.id}` },
    { name: 'stops-departure', path: `/inspections/${leaving}` },
    { name: 'sign-departure', path: `/inspections/${leaving}/sign` },
    { name: 'stops', path: `/inspections/${walk}` },
    ...[...kinds].map(([kind, key]) => ({ name: `question-${kind}`, path: `/inspections/${walk}/steps/${key}` })),
    { name: 'viewpoint', path: `/inspections/${walk}/steps/${viewpoint}` },
    { name: 'marks', path: `/inspections/${walk}/marks/${viewpoint}` },
    { name: 'compare', path: `/inspections/${sealed}/compare/${viewpoint}` },
    { name: 'briefing', path: `/inspections/${leaving}/briefing` },
    { name: 'briefing-topic', path: `/inspections/${leaving}/briefing?topic=gas_use` },
    { name: 'briefing-size', path: `/inspections/${leaving}/briefing?topic=size` },
    { name: 'sign', path: `/inspections/${walk}/sign` },
    { name: 'sealed', path: `/inspections/${sealed}/sign` },
    { name: 'sealed-stops', path: `/inspections/${sealed}` },
    { name: 'addenda', path: `/inspections/${sealed}/addenda` },
    { name: 'device', path: '/device' },
    { name: 'office', path: '/office' },
    { name: 'bench', path: `/office/${returned.id}` },
    { name: 'settlement', path: `/office/${settled.id}/settlement` },
    { name: 'settlement-returned', path: `/office/${returned.id}/settlement` },
    { name: 'bank', path: '/office/bank' },
    { name: 'bank-matched', path: '/office/bank?list=matched' },
    { name: 'reports', path: '/office/reports' },
    { name: 'statement', path: `/office/${settled.id}/statement` },
    { name: 'fleet', path: '/fleet' },
    { name: 'vehicle', path: `/fleet/vehicles/${out.vehicle}` },
    { name: 'tariffs', path: '/fleet/tariffs' },
    { name: 'templates', path: '/fleet/templates' },
    { name: 'staff', path: '/fleet/staff' },
    { name: 'not-found', path: '/nowhere' },
  ];
}

/** To a screen, with everything on it that comes later than the screen. */
export async function goTo(page: Page, path: string): Promise<void> {
  await page.evaluate((to) => {
    history.pushState(null, '', to);
    dispatchEvent(new PopStateEvent('popstate'));
  }, path);
  await expect(page.locator('h1')).toBeVisible();
  await expect(page.getByText(/^(Loading…|Wird geladen\s?…)$/u)).toHaveCount(0);
}
