import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { Comparison, Ledger, NewDecision, NewMovement, Statement } from '../api/types';

export function getComparison(api: Api, hire: string): Promise<Comparison> {
  return unwrap(api.GET('/hires/{id}/comparison', { params: { path: { id: hire } } }));
}

export function decide(api: Api, hire: string, decision: NewDecision): Promise<Comparison> {
  return unwrap(
    api.POST('/hires/{id}/decisions', {
      // The decision's own id tells a repeated request from a second decision.
      params: { path: { id: hire }, header: { 'Idempotency-Key': decision.id } },
      body: decision,
    }),
  );
}

export function getLedger(api: Api, hire: string): Promise<Ledger> {
  return unwrap(api.GET('/hires/{id}/ledger', { params: { path: { id: hire } } }));
}

export function postMovement(api: Api, hire: string, movement: NewMovement): Promise<Ledger> {
  return unwrap(
    api.POST('/hires/{id}/movements', {
      params: { path: { id: hire }, header: { 'Idempotency-Key': movement.id } },
      body: movement,
    }),
  );
}

export function closeSettlement(api: Api, hire: string, key: string): Promise<Statement> {
  return unwrap(
    api.POST('/hires/{id}/settlement', { params: { path: { id: hire }, header: { 'Idempotency-Key': key } }, body: {} }),
  );
}

export function getStatement(api: Api, hire: string): Promise<Statement> {
  return unwrap(api.GET('/hires/{id}/statement', { params: { path: { id: hire } } }));
}
