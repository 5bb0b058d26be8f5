// Banks' statements: reading files in, and saying what an entry is.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { BankEntryState, BankEntryView, BankImport, EntryMatch } from '../api/types';
import { nextCursor } from './pages';

export interface EntryPage {
  items: BankEntryView[];
  next: string | null;
}

export async function entryPage(api: Api, state: BankEntryState, after: string | null): Promise<EntryPage> {
  const answer = await api.GET('/bank/entries', { params: { query: { state, limit: 50, ...(after === null ? {} : { after }) } } });
  const { items } = await unwrap(Promise.resolve(answer));
  return { items, next: nextCursor(answer.response.headers.get('Link')) };
}

export async function listImports(api: Api): Promise<BankImport[]> {
  return (await unwrap(api.GET('/bank/imports'))).items;
}

export function getImport(api: Api, id: string): Promise<BankImport> {
  return unwrap(api.GET('/bank/imports/{id}', { params: { path: { id } } }));
}

export function matchEntry(api: Api, id: string, body: EntryMatch): Promise<BankEntryView> {
  return unwrap(api.PUT('/bank/entries/{id}/match', { params: { path: { id } }, body }));
}

export async function unmatchEntry(api: Api, id: string): Promise<void> {
  await unwrap(api.DELETE('/bank/entries/{id}/match', { params: { path: { id } } }));
}

export function putAside(api: Api, id: string, reason: string | null): Promise<BankEntryView> {
  return unwrap(api.PUT('/bank/entries/{id}/aside', { params: { path: { id } }, body: reason === null ? {} : { reason } }));
}
