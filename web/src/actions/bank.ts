// Banks' statements: reading files in, and saying what an entry is.
import { BASE, type Api } from '../api/client';
import { createSend, refusal, unwrap, type Tokens } from '../api/http';
import { carrying } from '../api/upload';
import type { BankEntryState, BankEntryView, BankImport, EntryMatch, Hire, PaymentColumns, PaymentEvents } from '../api/types';
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

/** The first few by their words, and whether there are more. */
export async function findHires(api: Api, q: string, limit: number): Promise<{ items: Hire[]; more: boolean }> {
  const answer = await api.GET('/hires', { params: { query: { q, limit } } });
  const { items } = await unwrap(Promise.resolve(answer));
  return { items, more: nextCursor(answer.response.headers.get('Link')) !== null };
}

/** Who sends a file, and where to. */
export interface Sender {
  origin: string;
  session: Tokens;
  lang: { readonly lang: string };
}

async function sendFile(from: Sender, method: string, path: string, type: string, file: Blob, gone: (bytes: number) => void): Promise<Response> {
  const send = createSend({ tokens: from.session, language: () => from.lang.lang, fetch: carrying(file, gone) });
  const response = await send(new Request(`${from.origin}${BASE}${path}`, { method, headers: { 'Content-Type': type } }));
  if (!response.ok) throw await refusal(response);
  return response;
}

/** Sends a statement. It is whole and right when this answers; its entries are kept afterwards. */
export async function sendStatement(from: Sender, id: string, file: File, columns: Record<string, unknown> | null, gone: (bytes: number) => void): Promise<BankImport> {
  const query = new URLSearchParams({ name: file.name });
  if (columns !== null) query.set('columns', JSON.stringify(columns));
  return (await sendFile(from, 'PUT', `/bank/imports/${id}?${query}`, 'application/octet-stream', file, gone)).json() as Promise<BankImport>;
}

/** Sends what a payment provider tells; each line is a movement of its own. */
export async function sendPayments(from: Sender, file: File, columns: PaymentColumns, gone: (bytes: number) => void): Promise<PaymentEvents> {
  const query = new URLSearchParams({ columns: JSON.stringify(columns) });
  return (await sendFile(from, 'POST', `/payments/events?${query}`, 'text/csv', file, gone)).json() as Promise<PaymentEvents>;
}
