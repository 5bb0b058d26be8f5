import { describe, expect, it } from 'vitest';
import { createSend, unwrap, type Tokens } from './http';
import { problemOf, problemWords, Refused, shownProblem, Unreachable } from './problem';
import { nextCursor } from '../actions/pages';

function server(valid: { token: string }) {
  const seen: { auth: string | null; body: string }[] = [];
  const fetch = async (request: Request) => {
    seen.push({ auth: request.headers.get('Authorization'), body: await request.text() });
    return request.headers.get('Authorization') === `Bearer ${valid.token}` ? new Response('{}') : new Response('{}', { status: 401 });
  };
  return { seen, fetch };
}

describe('send', () => {
  it('renews a session that ran out and sends the same body again', async () => {
    const valid = { token: 'new' };
    const { seen, fetch } = server(valid);
    let token = 'old';
    const tokens: Tokens = {
      access: () => token,
      renew: () => {
        token = 'new';
        return Promise.resolve(true);
      },
    };
    const send = createSend({ tokens, language: () => 'de', fetch });
    const response = await send(new Request('http://any/x', { method: 'POST', body: 'hello' }));
    expect(response.status).toBe(200);
    expect(seen).toEqual([
      { auth: 'Bearer old', body: 'hello' },
      { auth: 'Bearer new', body: 'hello' },
    ]);
  });

  it('passes the refusal on when the session cannot be renewed', async () => {
    const { seen, fetch } = server({ token: 'other' });
    const send = createSend({ tokens: { access: () => 'old', renew: () => Promise.resolve(false) }, language: () => 'en', fetch });
    expect((await send(new Request('http://any/x'))).status).toBe(401);
    expect(seen).toHaveLength(1);
  });

  it('says that the server was not reached', async () => {
    const send = createSend({
      tokens: { access: () => null, renew: () => Promise.resolve(false) },
      language: () => 'en',
      fetch: () => Promise.reject(new TypeError('offline')),
    });
    await expect(send(new Request('http://any/x'))).rejects.toBeInstanceOf(Unreachable);
  });

  it('takes an answer that breaks off in the middle for none', async () => {
    const half = () =>
      new ReadableStream<Uint8Array>({
        pull(controller) {
          controller.enqueue(new TextEncoder().encode('{"some":'));
          controller.error(new TypeError('the connection was reset'));
        },
      });
    const send = createSend({
      tokens: { access: () => null, renew: () => Promise.resolve(false) },
      language: () => 'en',
      fetch: () => Promise.resolve(new Response(half(), { headers: { 'Content-Type': 'application/json' } })),
    });
    await expect(send(new Request('http://any/x'))).rejects.toBeInstanceOf(Unreachable);
  });

  it('gives an answer without content on as one, also where the browser shows an empty body of it', async () => {
    const nothing = new Response(null, { status: 204, headers: { ETag: '"7"' } });
    Object.defineProperty(nothing, 'body', { value: new ReadableStream({ start: (controller) => controller.close() }) });
    const send = createSend({ tokens: { access: () => null, renew: () => Promise.resolve(false) }, language: () => 'en', fetch: () => Promise.resolve(nothing) });
    const answer = await send(new Request('http://any/x', { method: 'DELETE' }));
    expect([answer.status, answer.headers.get('ETag'), await answer.text()]).toEqual([204, '"7"', '']);
  });

  it('gives a whole answer on with its status, headers and bytes', async () => {
    const send = createSend({
      tokens: { access: () => null, renew: () => Promise.resolve(false) },
      language: () => 'en',
      fetch: () => Promise.resolve(new Response('{"a":1}', { status: 202, headers: { 'Content-Type': 'application/json', ETag: '"7"' } })),
    });
    const answer = await send(new Request('http://any/x'));
    expect([answer.status, answer.headers.get('ETag'), answer.headers.get('Content-Type'), await answer.json()]).toEqual([202, '"7"', 'application/json', { a: 1 }]);
  });
});

describe('problems', () => {
  it('keep code, words, places and further members', () => {
    const problem = problemOf(422, { type: '/problems/x', code: 'answer_invalid', title: 'No', detail: 'below tare', errors: [{ pointer: '/a', detail: 'd' }], held: 3 });
    expect(problem).toMatchObject({ status: 422, code: 'answer_invalid', detail: 'below tare', errors: [{ pointer: '/a', detail: 'd' }] });
    expect(problem.more).toMatchObject({ held: 3 });
  });

  it('stand in for answers of something between us and the server', () => {
    expect(problemOf(502, undefined)).toMatchObject({ code: 'http_502', errors: [] });
  });

  it('are told by what is wrong with the values, where that is said', () => {
    const told = (body: unknown) => problemWords(problemOf(422, body));
    const some = { code: 'values_invalid', title: 'No', detail: 'Some values cannot be right; see errors.' };
    expect(told({ ...some, errors: [{ pointer: '/handed_over_at', detail: 'before the departure' }] })).toBe('before the departure');
    expect(told(some)).toBe(some.detail);
    expect(told({ code: 'x', title: 'Only a title', detail: '' })).toBe('Only a title');
  });

  it('are thrown by unwrap and shown; a fault of ours is not dressed up as one', async () => {
    const answer = Promise.resolve({ error: { code: 'not_found', title: 'Not found', detail: '' }, response: new Response(null, { status: 404 }) });
    await expect(unwrap(answer)).rejects.toBeInstanceOf(Refused);
    expect(shownProblem(new Unreachable(null))).toBe('unreachable');
    expect(() => shownProblem(new TypeError('x'))).toThrow('x');
  });
});

describe('pages', () => {
  it('are followed by their link', () => {
    expect(nextCursor('</api/v1/hires?limit=200&after=abc%3D>; rel="next"')).toBe('abc=');
    expect(nextCursor(null)).toBeNull();
  });
});
