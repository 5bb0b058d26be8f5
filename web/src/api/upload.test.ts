import { describe, expect, it } from 'vitest';
import { createSend, type Tokens } from './http';
import { Unreachable } from './problem';
import { carrying } from './upload';

/** Goes as the browser's own does: half of it, all of it, then what the server answers. */
class Going {
  upload: { onprogress: ((event: { loaded: number }) => void) | null } = { onprogress: null };
  onload: (() => void) | null = null;
  onerror: (() => void) | null = null;
  onabort: (() => void) | null = null;
  responseType = '';
  status = 0;
  statusText = '';
  response: Blob | null = null;
  #headers: Record<string, string> = {};
  #open = '';

  constructor(
    private readonly seen: { open: string; auth: string | undefined; sent: Blob }[],
    private readonly answer: (auth: string | undefined) => { status: number; body: string } | null,
  ) {}

  open(method: string, url: string): void {
    this.#open = `${method} ${url}`;
  }
  setRequestHeader(name: string, value: string): void {
    this.#headers[name] = value;
  }
  getAllResponseHeaders(): string {
    return 'content-type: application/json\r\nretry-after: 3\r\n';
  }
  send(file: Blob): void {
    const auth = this.#headers['authorization'];
    this.seen.push({ open: this.#open, auth, sent: file });
    this.upload.onprogress?.({ loaded: file.size / 2 });
    const answer = this.answer(auth);
    if (answer === null) {
      this.onerror?.();
      return;
    }
    this.upload.onprogress?.({ loaded: file.size });
    this.status = answer.status;
    this.response = new Blob([answer.body]);
    this.onload?.();
  }
}

function carrier(file: Blob, gone: number[], answer: (auth: string | undefined) => { status: number; body: string } | null) {
  const seen: { open: string; auth: string | undefined; sent: Blob }[] = [];
  let token = 'old';
  const tokens: Tokens = {
    access: () => token,
    renew: () => {
      token = 'new';
      return Promise.resolve(true);
    },
  };
  const fetch = carrying(file, (bytes) => gone.push(bytes), () => new Going(seen, answer) as unknown as XMLHttpRequest);
  return { seen, send: createSend({ tokens, language: () => 'de', fetch }) };
}

describe('a file on its way', () => {
  const file = new Blob(['12345678']);

  it('tells how much of it has gone, and goes again whole when the session had run out', async () => {
    const gone: number[] = [];
    const { seen, send } = carrier(file, gone, (auth) => (auth === 'Bearer new' ? { status: 202, body: '{"a":1}' } : { status: 401, body: '{}' }));
    const response = await send(new Request('http://any/x', { method: 'PUT' }));
    expect([response.status, response.headers.get('Retry-After'), await response.json()]).toEqual([202, '3', { a: 1 }]);
    expect(seen).toEqual([
      { open: 'PUT http://any/x', auth: 'Bearer old', sent: file },
      { open: 'PUT http://any/x', auth: 'Bearer new', sent: file },
    ]);
    expect(gone).toEqual([0, 4, 8, 0, 4, 8]);
  });

  it('has not arrived when the connection breaks, and an answer without a body is one', async () => {
    await expect(carrier(file, [], () => null).send(new Request('http://any/x', { method: 'PUT' }))).rejects.toBeInstanceOf(Unreachable);
    const nothing = await carrier(file, [], () => ({ status: 204, body: '' })).send(new Request('http://any/x', { method: 'PUT' }));
    expect([nothing.status, nothing.body]).toEqual([204, null]);
  });
});
