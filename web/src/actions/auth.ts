import type { Api } from '../api/client';
import { unwrap } from '../api/http';
import type { SessionCalls } from '../state/session.svelte';

/** Signing in, renewing and signing out. The client given must not itself try to renew. */
export function sessionCalls(api: Api): SessionCalls {
  return {
    login: (email, password) => unwrap(api.POST('/auth/login', { body: { email, password } })),
    refresh: (refresh_token) => unwrap(api.POST('/auth/refresh', { body: { refresh_token } })),
    logout: async (refresh_token) => {
      await unwrap(api.POST('/auth/logout', { body: { refresh_token } }));
    },
  };
}
