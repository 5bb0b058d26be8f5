import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import { problemOf, Refused } from '../api/problem';
import type {
  Depot,
  Hookup,
  NewStaff,
  RegisterMark,
  Staff,
  StaffEdit,
  Tariff,
  TariffSummary,
  Template,
  TemplateSummary,
  Vehicle,
  VehicleEdit,
} from '../api/types';
import { everyPage } from './pages';

/** Something with the version an edit of it must name. */
export interface Tagged<T> {
  value: T;
  etag: string;
}

async function tagged<T>(answer: Promise<{ data?: T; error?: unknown; response: Response }>): Promise<Tagged<T>> {
  const { data, error, response } = await answer;
  if (!response.ok) throw new Refused(problemOf(response.status, error));
  return { value: data as T, etag: response.headers.get('ETag') ?? '' };
}

export function listDepots(api: Api): Promise<Depot[]> {
  return everyPage((query) => api.GET('/depots', { params: { query } }));
}

export function listVehicles(api: Api): Promise<Vehicle[]> {
  return everyPage((query) => api.GET('/vehicles', { params: { query } }));
}

export function getVehicle(api: Api, id: string): Promise<Tagged<Vehicle>> {
  return tagged(api.GET('/vehicles/{id}', { params: { path: { id } } }));
}

export function editVehicle(api: Api, id: string, etag: string, body: VehicleEdit): Promise<Tagged<Vehicle>> {
  return tagged(api.PATCH('/vehicles/{id}', { params: { path: { id }, header: { 'If-Match': etag } }, body }));
}

/** The walk-round as it applies to this vehicle now. */
export function vehicleTemplate(api: Api, id: string): Promise<Template> {
  return unwrap(api.GET('/vehicles/{id}/template', { params: { path: { id } } }));
}

export async function vehicleRegister(api: Api, id: string): Promise<RegisterMark[]> {
  return (await unwrap(api.GET('/vehicles/{id}/register', { params: { path: { id } } }))).items;
}

export function repairMark(api: Api, vehicle: string, mark: string, note: string): Promise<RegisterMark> {
  return unwrap(api.POST('/vehicles/{id}/register/{mark}/repair', { params: { path: { id: vehicle, mark } }, body: { note } }));
}

export function vehicleHookup(api: Api, id: string): Promise<Hookup> {
  return unwrap(api.GET('/vehicles/{id}/hookup', { params: { path: { id } } }));
}

export function listTariffs(api: Api): Promise<TariffSummary[]> {
  return everyPage((query) => api.GET('/tariffs', { params: { query } }));
}

export function getTariff(api: Api, id: string): Promise<Tariff> {
  return unwrap(api.GET('/tariffs/{id}', { params: { path: { id } } }));
}

export function listTemplates(api: Api): Promise<TemplateSummary[]> {
  return everyPage((query) => api.GET('/templates', { params: { query } }));
}

export function getTemplate(api: Api, id: string): Promise<Template> {
  return unwrap(api.GET('/templates/{id}', { params: { path: { id } } }));
}

export function listStaff(api: Api): Promise<Staff[]> {
  return everyPage((query) => api.GET('/staff', { params: { query } }));
}

export function createStaff(api: Api, body: NewStaff): Promise<Staff> {
  return unwrap(api.POST('/staff', { body }));
}

export async function editStaff(api: Api, staff: Staff, body: StaffEdit): Promise<Staff> {
  const edited = await tagged(
    api.PATCH('/staff/{id}', { params: { path: { id: staff.id }, header: { 'If-Match': `"${staff.version}"` } }, body }),
  );
  return edited.value;
}
