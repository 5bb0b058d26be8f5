import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { DriverDetails, Hire, HireDue, HireStatus, NewHire, Today } from '../api/types';
import { everyPage } from './pages';

export interface HireQuery {
  status?: HireStatus;
  depot?: string;
  vehicle?: string;
  due?: HireDue;
  on?: string;
  q?: string;
}

export function listHires(api: Api, query: HireQuery): Promise<Hire[]> {
  return everyPage((page) => api.GET('/hires', { params: { query: { ...query, ...page } } }));
}

/** The twenty settled last. */
export async function settledLately(api: Api): Promise<Hire[]> {
  return (await unwrap(api.GET('/hires', { params: { query: { status: 'settled', limit: 20 } } }))).items;
}

export interface DueLists {
  departures: Hire[];
  returns: Hire[];
}

/** What goes out and what comes back by a day, in the order of the clock. */
export async function dueLists(api: Api, on: string, depot: string): Promise<DueLists> {
  const scope = depot === '' ? { on } : { on, depot };
  const [departures, returns] = await Promise.all([listHires(api, { due: 'departures', ...scope }), listHires(api, { due: 'returns', ...scope })]);
  return {
    departures: departures.sort((a, b) => a.agreed_departure.localeCompare(b.agreed_departure)),
    returns: returns.sort((a, b) => a.due_back.localeCompare(b.due_back)),
  };
}

export const dueKey = (on: string, depot: string) => `today/${on}/${depot}`;

/** Everything the yard needs of what goes out and comes back today and tomorrow. */
export function getToday(api: Api, depot: string | null): Promise<Today> {
  return unwrap(api.GET('/today', { params: { query: depot === null ? {} : { depot } } }));
}

export function getHire(api: Api, id: string): Promise<Hire> {
  return unwrap(api.GET('/hires/{id}', { params: { path: { id } } }));
}

export function createHire(api: Api, body: NewHire): Promise<Hire> {
  return unwrap(api.POST('/hires', { body }));
}

export async function cancelHire(api: Api, id: string, reason: string): Promise<Hire> {
  return unwrap(api.POST('/hires/{id}/cancel', { params: { path: { id } }, body: { reason } }));
}

export async function putDriver(api: Api, hire: string, driver: string, body: DriverDetails): Promise<void> {
  await unwrap(api.PUT('/hires/{id}/drivers/{driver_id}', { params: { path: { id: hire, driver_id: driver } }, body }));
}

export async function extendHire(api: Api, id: string, key: string, agreed_return: string, reference: string): Promise<Hire> {
  return unwrap(
    api.POST('/hires/{id}/extensions', {
      params: { path: { id }, header: { 'Idempotency-Key': key } },
      body: { agreed_return, reference },
    }),
  );
}
