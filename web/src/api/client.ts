import createClient, { type Client } from 'openapi-fetch';
import type { Send } from './http';
import type { paths } from './schema';

export type Api = Client<paths>;

export const BASE = '/api/v1';

/** The typed client: every path, body and answer as the server describes them. */
export function createApi(send: Send, origin: string): Api {
  return createClient<paths>({ baseUrl: `${origin}${BASE}`, fetch: send });
}
