import 'fake-indexeddb/auto';
import { describe, expect, it } from 'vitest';
import { Refused, Unreachable } from '../api/problem';
import type { Session } from '../api/types';
import { openDb } from '../store/db';
import { SessionState, type SessionCalls } from './session.svelte';

let databases = 0;
const freshDb = () => openDb({ name: `session-test-${(databases += 1)}` });

function session(n: number): Session {
  return {
    access_token: `access-${n}`,
    access_expires_at: '2026-05-01T08:15:00Z',
    refresh_token: `refresh-${n}`,
    refresh_expires_at: '2026-06-01T08:00:00Z',
    staff: { id: 's', email: 'a@example.test', name: 'Ada', role: 'desk', depot: null, active: true, version: 1 },
  };
}

/** A server that takes each refresh token once, as the real one does. */
function calls(): SessionCalls & { refreshed: string[] } {
  const refreshed: string[] = [];
  return {
    refreshed,
    login: () => Promise.resolve(session(1)),
    refresh: (token) => {
      refreshed.push(token);
      const n = Number(token.split('-')[1]);
      if (refreshed.filter((t) => t === token).length > 1) {
        return Promise.reject(new Refused({ status: 401, code: 'refresh_reused', title: '', detail: '', errors: [], more: {} }));
      }
      return Promise.resolve(session(n + 1));
    },
    logout: () => Promise.resolve(),
  };
}

describe('session', () => {
  it('is renewed once for however many ask at the same time', async () => {
    const server = calls();
    const state = new SessionState(await freshDb(), server, (work) => work());
    await state.login('a@example.test', 'x');
    const answers = await Promise.all([state.renew('access-1'), state.renew('access-1'), state.renew('access-1')]);
    expect(answers).toEqual([true, true, true]);
    expect(server.refreshed).toEqual(['refresh-1']);
    expect(state.access()).toBe('access-2');
    // A request that went out before the renewal and is refused after it.
    expect(await state.renew('access-1')).toBe(true);
    expect(server.refreshed).toHaveLength(1);
  });

  it('takes over what another page has renewed, and does not use its token twice', async () => {
    const db = await freshDb();
    const server = calls();
    const here = new SessionState(db, server, (work) => work());
    await here.login('a@example.test', 'x');
    const there = new SessionState(db, server, (work) => work());
    await there.restore();
    await there.renew('access-1');
    expect(await here.renew('access-1')).toBe(true);
    expect(here.access()).toBe('access-2');
    expect(server.refreshed).toEqual(['refresh-1']);
  });

  it('ends at the server’s no, and stays when the server is not reached', async () => {
    const db = await freshDb();
    const server = calls();
    const state = new SessionState(db, server, (work) => work());
    await state.login('a@example.test', 'x');
    server.refresh = () => Promise.reject(new Unreachable(null));
    await expect(state.renew('access-1')).rejects.toBeInstanceOf(Unreachable);
    expect(state.session).not.toBeNull();
    server.refresh = () => Promise.reject(new Refused({ status: 401, code: 'refresh_reused', title: '', detail: '', errors: [], more: {} }));
    expect(await state.renew('access-1')).toBe(false);
    expect(state.session).toBeNull();
    expect(state.ended).toBe(true);
    expect(await db.get('kept', 'session')).toBeUndefined();
    // Whoever was at work goes on recording, also after the page was loaded again, until somebody signs in.
    const later = new SessionState(db, calls(), (work) => work());
    await later.restore();
    expect([later.atWork, later.ended, later.staff?.name, later.access()]).toEqual([true, true, 'Ada', null]);
    await later.login('a@example.test', 'x');
    expect([later.ended, later.access()]).toEqual([false, 'access-1']);
    await later.logout();
    expect(later.atWork).toBe(false);
  });
});
