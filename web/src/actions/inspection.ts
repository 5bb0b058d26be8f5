// What is recorded on an inspection, on its way to the server.
import type { Api } from '../api/client';
import { BASE } from '../api/client';
import { refusal, unwrap, type Send } from '../api/http';
import { problemOf, Refused } from '../api/problem';
import type { InspectionView, Template } from '../api/types';
import type { Operation } from '../store/db';

export function getInspection(api: Api, id: string): Promise<InspectionView> {
  return unwrap(api.GET('/inspections/{id}', { params: { path: { id } } }));
}

/** The walk-round this inspection was started with, for this vehicle. */
export function inspectionTemplate(api: Api, id: string): Promise<Template> {
  return unwrap(api.GET('/inspections/{id}/template', { params: { path: { id } } }));
}

export function signInspection(api: Api, id: string, key: string): Promise<InspectionView> {
  return unwrap(
    api.POST('/inspections/{id}/sign', {
      params: { path: { id }, header: { 'Idempotency-Key': key } },
      body: { device_time: new Date().toISOString() },
    }),
  );
}

/** Removing what is already gone is done, not refused: an earlier try got through and its answer did not. */
async function removed(answer: Promise<{ error?: unknown; response: Response }>): Promise<void> {
  const { error, response } = await answer;
  if (!response.ok && response.status !== 404) throw new Refused(problemOf(response.status, error));
}

function subjectKey(deed: Extract<Operation['deed'], { kind: 'photo' }>): string {
  const { subject } = deed;
  return subject.of === 'viewpoint' ? subject.viewpoint : subject.of === 'checkpoint' ? subject.checkpoint : subject.mark;
}

async function sendPhoto(send: Send, origin: string, operation: Operation, photo: Blob | undefined): Promise<void> {
  const { deed, inspection } = operation;
  if (deed.kind !== 'photo') return;
  if (!photo) {
    throw new Refused({
      status: 0,
      code: 'photo_lost',
      title: 'The photograph is no longer on this device',
      detail: 'The browser has given up its storage. Take the photograph again.',
      errors: [],
      more: {},
    });
  }
  const query = new URLSearchParams({ of: deed.subject.of, key: subjectKey(deed), taken_at: deed.takenAt });
  const response = await send(
    new Request(`${origin}${BASE}/inspections/${inspection}/photos/${deed.id}?${query}`, {
      method: 'PUT',
      headers: { 'Content-Type': photo.type },
      body: photo,
    }),
  );
  if (!response.ok) throw await refusal(response);
}

/** Sends one operation. Every one names its own id, so sending it twice does it once. */
export async function sendOperation(api: Api, send: Send, origin: string, operation: Operation, photo: Blob | undefined): Promise<void> {
  const { deed, inspection: id } = operation;
  switch (deed.kind) {
    case 'entry':
      await unwrap(
        api.PUT('/inspections/{id}/entries/{entry_id}', { params: { path: { id, entry_id: deed.id } }, body: deed.input }),
      );
      return;
    case 'entry_removed':
      return removed(api.DELETE('/inspections/{id}/entries/{entry_id}', { params: { path: { id, entry_id: deed.id } } }));
    case 'photo':
      return sendPhoto(send, origin, operation, photo);
    case 'photo_removed':
      return removed(api.DELETE('/inspections/{id}/photos/{photo_id}', { params: { path: { id, photo_id: deed.id } } }));
    case 'mark':
      await unwrap(api.PUT('/inspections/{id}/marks/{mark_id}', { params: { path: { id, mark_id: deed.id } }, body: deed.input }));
      return;
    case 'mark_removed':
      return removed(api.DELETE('/inspections/{id}/marks/{mark_id}', { params: { path: { id, mark_id: deed.id } } }));
    case 'sighting':
      await unwrap(
        api.PUT('/inspections/{id}/sightings/{mark_id}', { params: { path: { id, mark_id: deed.mark } }, body: deed.input }),
      );
      return;
    case 'sighting_removed':
      return removed(api.DELETE('/inspections/{id}/sightings/{mark_id}', { params: { path: { id, mark_id: deed.mark } } }));
    case 'briefing':
      await unwrap(api.PUT('/inspections/{id}/briefings/{topic}', { params: { path: { id, topic: deed.topic } }, body: deed.input }));
      return;
    case 'handover':
      await unwrap(api.PUT('/inspections/{id}/handover', { params: { path: { id } }, body: { handed_over_at: deed.at } }));
      return;
    case 'signature':
      await unwrap(
        api.PUT('/inspections/{id}/signatures/{role}', { params: { path: { id, role: deed.role } }, body: deed.input }),
      );
      return;
    case 'absence':
      await unwrap(api.PUT('/inspections/{id}/absence', { params: { path: { id } }, body: { reason: deed.reason } }));
      return;
  }
}
