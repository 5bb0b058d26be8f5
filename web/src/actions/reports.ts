// What a period of returns comes to.
import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { Currency, ReportView } from '../api/types';

export interface Period {
  from: string;
  to: string;
  currency: Currency;
  /** One depot's returns only. */
  depot?: string;
}

export function readReport(api: Api, period: Period): Promise<ReportView> {
  return unwrap(api.GET('/reports', { params: { query: { ...period } } }));
}
