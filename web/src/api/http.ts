// One way to the server: adds who is asking and in which language, and renews a session that ran out, once for
// however many requests notice it at the same time.
import { problemOf, Refused, Unreachable } from './problem';

export interface Tokens {
  /** The access token, or none when nobody is signed in. */
  access(): string | null;
  /** Gets a new access token in place of one the server no longer takes; false when that cannot be done. */
  renew(stale: string): Promise<boolean>;
}

export interface HttpParts {
  tokens: Tokens;
  language(): string;
  fetch: (request: Request) => Promise<Response>;
}

export type Send = (request: Request) => Promise<Response>;

function withHeaders(request: Request, parts: HttpParts): { request: Request; access: string | null } {
  const headers = new Headers(request.headers);
  const access = parts.tokens.access();
  if (access !== null) headers.set('Authorization', `Bearer ${access}`);
  headers.set('Accept-Language', parts.language());
  return { request: new Request(request, { headers }), access };
}

/** The whole answer: one that breaks off on its way is none. */
async function reach(parts: HttpParts, request: Request): Promise<Response> {
  try {
    const answer = await parts.fetch(request);
    const { status, statusText, headers } = answer;
    const whole = await answer.blob();
    // Some statuses must not have a body, not even the empty one that browsers show of them.
    return new Response(whole.size > 0 ? whole : null, { status, statusText, headers });
  } catch (cause) {
    throw new Unreachable(cause);
  }
}

export function createSend(parts: HttpParts): Send {
  return async (original) => {
    // The body can be read once only; a second copy is kept for after a renewal.
    const second = original.clone();
    const first = withHeaders(original, parts);
    const response = await reach(parts, first.request);
    if (response.status !== 401 || first.access === null) return response;
    if (!(await parts.tokens.renew(first.access))) return response;
    return reach(parts, withHeaders(second, parts).request);
  };
}

/** The body of a good answer, or the refusal thrown. */
export async function unwrap<T>(answer: Promise<{ data?: T; error?: unknown; response: Response }>): Promise<T> {
  const { data, error, response } = await answer;
  if (!response.ok) throw new Refused(problemOf(response.status, error));
  return data as T;
}

/** The refusal in a plain response, where the body was not JSON of ours. */
export async function refusal(response: Response): Promise<Refused> {
  const text = await response.text();
  let body: unknown = null;
  if (response.headers.get('Content-Type')?.includes('json') === true) {
    try {
      body = JSON.parse(text);
    } catch (error) {
      // Cut off on the way: the status still says what matters, and the text is kept for whoever looks.
      body = { code: `http_${response.status}`, title: `HTTP ${response.status}`, detail: `${String(error)}: ${text.slice(0, 200)}` };
    }
  }
  return new Refused(problemOf(response.status, body));
}
