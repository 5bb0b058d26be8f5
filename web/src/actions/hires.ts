import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { DriverDetails, Hire, HireDue, HireStatus, InspectionView, NewHire, StartLeg } from '../api/types';
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

export function startInspection(api: Api, hire: string, id: string, leg: StartLeg): Promise<InspectionView> {
  return unwrap(
    api.POST('/hires/{id}/inspections', {
      params: { path: { id: hire } },
      body: { id, leg, device_time: new Date().toISOString() },
    }),
  );
}
