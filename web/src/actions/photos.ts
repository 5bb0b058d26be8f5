// Photographs the server has compared: places worth a look, and what a person made of each.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { Disposition, PointersView } from '../api/types';

export function getPointers(api: Api, photo: string): Promise<PointersView> {
  return unwrap(api.GET('/photos/{id}/pointers', { params: { path: { id: photo } } }));
}

/** Accepted needs the mark it became. */
export function putPointer(api: Api, photo: string, pointer: string, disposition: Disposition, mark: string | null): Promise<PointersView> {
  return unwrap(
    api.PUT('/photos/{id}/pointers/{pointer_id}', {
      params: { path: { id: photo, pointer_id: pointer } },
      body: { disposition, mark },
    }),
  );
}
