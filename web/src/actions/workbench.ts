// What waits for the office, disputes and who decided what.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { Blocked, Comparison, DecisionView, DisputeOutcome, DisputeView, Waiting, WorkbenchSummary } from '../api/types';
import { nextCursor } from './pages';

export interface WaitingPage {
  items: Waiting[];
  /** Where the next page begins; none after the last. */
  next: string | null;
}

export async function waitingPage(api: Api, blocked: Blocked | null, after: string | null): Promise<WaitingPage> {
  const answer = await api.GET('/workbench', {
    params: { query: { limit: 50, ...(blocked === null ? {} : { blocked }), ...(after === null ? {} : { after }) } },
  });
  const { items } = await unwrap(Promise.resolve(answer));
  return { items, next: nextCursor(answer.response.headers.get('Link')) };
}

export function workbenchSummary(api: Api): Promise<WorkbenchSummary> {
  return unwrap(api.GET('/workbench/summary'));
}

export async function listDisputes(api: Api, hire: string): Promise<DisputeView[]> {
  return (await unwrap(api.GET('/hires/{id}/disputes', { params: { path: { id: hire } } }))).items;
}

export async function answerDispute(api: Api, hire: string, dispute: string, outcome: DisputeOutcome, words: string): Promise<DisputeView[]> {
  const answer = api.POST('/hires/{id}/disputes/{dispute_id}/answer', {
    params: { path: { id: hire, dispute_id: dispute } },
    body: { outcome, words },
  });
  return (await unwrap(answer)).items;
}

export async function listDecisions(api: Api, hire: string): Promise<DecisionView[]> {
  return (await unwrap(api.GET('/hires/{id}/decisions', { params: { path: { id: hire } } }))).items;
}

/** All of them or none; each with an id of its own, so that a repeated request decides nothing twice. */
export function acceptSeveral(api: Api, hire: string, key: string, lines: readonly { id: string; line: string }[]): Promise<Comparison> {
  return unwrap(
    api.POST('/hires/{id}/decisions/several', {
      params: { path: { id: hire }, header: { 'Idempotency-Key': key } },
      body: { lines: [...lines] },
    }),
  );
}
