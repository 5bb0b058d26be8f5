// What the server knows of an inspection.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { InspectionView, Template } from '../api/types';

export function getInspection(api: Api, id: string): Promise<InspectionView> {
  return unwrap(api.GET('/inspections/{id}', { params: { path: { id } } }));
}

/** The walk-round this inspection was started with, for this vehicle. */
export function inspectionTemplate(api: Api, id: string): Promise<Template> {
  return unwrap(api.GET('/inspections/{id}/template', { params: { path: { id } } }));
}
