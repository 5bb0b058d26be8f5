// What a hirer does with their link. The link's token is given to the client by whoever makes it.
import type { Api } from '../api/client';
import { BASE } from '../api/client';
import { refusal, unwrap, type Send } from '../api/http';
import type { OwnDispute, OwnHire } from '../api/types';

export function readOwn(api: Api): Promise<OwnHire> {
  return unwrap(api.GET('/hirer'));
}

export async function disputeLine(api: Api, id: string, line: string, words: string, photos: readonly string[]): Promise<OwnDispute[]> {
  return (await unwrap(api.POST('/hirer/disputes', { body: { id, line, words, photos: [...photos] } }))).items;
}

/** Sent again under the same id it is kept once. */
export async function sendOwnPhoto(send: Send, origin: string, id: string, photo: Blob): Promise<void> {
  const response = await send(new Request(`${origin}${BASE}/hirer/photos/${id}`, { method: 'PUT', headers: { 'Content-Type': photo.type }, body: photo }));
  if (!response.ok) throw await refusal(response);
}
