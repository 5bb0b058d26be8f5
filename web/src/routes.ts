// Every screen of the application and its address, on one page.
import type { Component } from 'svelte';
import type { Route, Screen } from './state/router.svelte';

/** A screen whose address has no names in it: it takes nothing, and is given nothing it would read. */
function plain(load: () => Promise<{ default: Component<Record<string, never>> }>): Route['load'] {
  return async () => ({ default: (await load()).default as unknown as Screen });
}

export const routes: Route[] = [
  { pattern: '/sign-in', load: plain(() => import('./screens/SignIn.svelte')), open: true },
  { pattern: '/today', load: plain(() => import('./screens/desk/Today.svelte')) },
  { pattern: '/hires/new', load: plain(() => import('./screens/desk/NewHire.svelte')) },
  { pattern: '/hires/:id', load: () => import('./screens/desk/HireScreen.svelte') },
  { pattern: '/inspections/:id', load: () => import('./screens/yard/Stops.svelte') },
  { pattern: '/inspections/:id/steps/:key', load: () => import('./screens/yard/Step.svelte'), stays: 'id' },
  { pattern: '/inspections/:id/marks/:viewpoint', load: () => import('./screens/yard/Marks.svelte') },
  { pattern: '/inspections/:id/compare/:viewpoint', load: () => import('./screens/yard/Compare.svelte') },
  { pattern: '/inspections/:id/briefing', load: () => import('./screens/hirer/Briefing.svelte') },
  { pattern: '/inspections/:id/sign', load: () => import('./screens/hirer/Sign.svelte') },
  { pattern: '/inspections/:id/addenda', load: () => import('./screens/yard/Addenda.svelte') },
  { pattern: '/own', load: plain(() => import('./screens/hirer/Own.svelte')), open: true },
  { pattern: '/device', load: plain(() => import('./screens/Device.svelte')) },
  { pattern: '/office', load: plain(() => import('./screens/office/Waiting.svelte')) },
  { pattern: '/office/bank', load: plain(() => import('./screens/office/Bank.svelte')) },
  { pattern: '/office/reports', load: plain(() => import('./screens/office/Reports.svelte')) },
  { pattern: '/office/:id', load: () => import('./screens/office/Bench.svelte') },
  { pattern: '/office/:id/settlement', load: () => import('./screens/office/Settlement.svelte') },
  { pattern: '/office/:id/statement', load: () => import('./screens/office/StatementScreen.svelte') },
  { pattern: '/fleet', load: plain(() => import('./screens/fleet/Vehicles.svelte')) },
  { pattern: '/fleet/vehicles/:id', load: () => import('./screens/fleet/VehicleScreen.svelte') },
  { pattern: '/fleet/tariffs', load: plain(() => import('./screens/fleet/Tariffs.svelte')) },
  { pattern: '/fleet/templates', load: plain(() => import('./screens/fleet/Templates.svelte')) },
  { pattern: '/fleet/staff', load: plain(() => import('./screens/fleet/StaffScreen.svelte')) },
];
