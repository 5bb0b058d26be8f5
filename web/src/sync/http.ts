// The way to the server over HTTP: operations in batches, photographs by tus, an open protocol for uploads that are
// gone on with where they stopped.
import type { DetailedError, Upload as TusUpload } from 'tus-js-client';
import { BASE } from '../api/client';
import { unwrap, type Send } from '../api/http';
import { problemOf, Refused, Unreachable } from '../api/problem';
import type { Tokens } from '../api/http';
import type { Operation, Receipt, Upload } from '../store/db';
import type { OutcomeKind, SentOutcome, Transport, UploadWatch } from './transport';

/** Without a sign of life for this long, a connection is taken for dead. */
const SILENCE_MS = 30_000;

interface WireOutcome {
  id: string;
  outcome: OutcomeKind;
  problem?: { status?: number } | null;
  receipt?: Receipt | null;
}

export class HttpTransport implements Transport {
  constructor(
    private readonly send: Send,
    private readonly origin: string,
    private readonly tokens: Tokens,
  ) {}

  async operations(device: string, operations: readonly Operation[]): Promise<SentOutcome[]> {
    const body = {
      device,
      operations: operations.map((o) => ({ id: o.id, sequence: o.sequence, done_at: o.doneAt, inspection: o.inspection, ...(o.author === undefined ? {} : { author: o.author }), deed: o.deed })),
    };
    const request = new Request(`${this.origin}${BASE}/operations`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify(body),
      signal: AbortSignal.timeout(SILENCE_MS),
    });
    const { outcomes } = await unwrap<{ outcomes: WireOutcome[] }>(answered(this.send(request)));
    return outcomes.map((o) => ({
      id: o.id,
      outcome: o.outcome,
      problem: o.problem == null ? null : problemOf(o.problem.status ?? 422, o.problem),
      receipt: o.receipt ?? null,
    }));
  }

  async upload(upload: Upload, blob: Blob, watch: UploadWatch): Promise<void> {
    const stale = this.tokens.access();
    try {
      await this.#tus(upload, blob, watch);
    } catch (error) {
      if (!(error instanceof Refused) || error.problem.status !== 401 || stale === null) throw error;
      if (!(await this.tokens.renew(stale))) throw error;
      await this.#tus(upload, blob, watch);
    }
  }

  async #tus(upload: Upload, blob: Blob, watch: UploadWatch): Promise<void> {
    const tus = await import('tus-js-client');
    await new Promise<void>((resolve, reject) => {
      let timer: ReturnType<typeof setTimeout> | undefined;
      const alive = () => {
        clearTimeout(timer);
        timer = setTimeout(() => fail(new Unreachable('no sign of life while sending')), SILENCE_MS);
      };
      let it: TusUpload | null = null;
      const fail = (error: Error) => {
        clearTimeout(timer);
        void it?.abort().catch(reject);
        reject(error);
      };
      const keepUrl = () => {
        if (it?.url != null) watch.at(it.url).catch(fail);
      };
      it = new tus.Upload(blob, {
        endpoint: `${this.origin}${BASE}/uploads`,
        ...(upload.url === null ? {} : { uploadUrl: upload.url }),
        metadata: { photo: upload.photo },
        // When to try again is decided in one place, by the engine.
        retryDelays: null,
        // Where an upload is kept stands in this device's database.
        storeFingerprintForResuming: false,
        onBeforeRequest: (request) => {
          alive();
          const access = this.tokens.access();
          if (access !== null) request.setHeader('Authorization', `Bearer ${access}`);
        },
        onUploadUrlAvailable: keepUrl,
        onProgress: (sent) => {
          alive();
          watch.progress(sent);
        },
        onSuccess: () => {
          clearTimeout(timer);
          resolve();
        },
        onError: (error) => fail(whatItSays(error)),
      });
      alive();
      it.start();
    });
  }
}

/** A response with the parsed body beside it, as the typed client gives them. */
async function answered<T>(sent: Promise<Response>): Promise<{ data?: T; error?: unknown; response: Response }> {
  const response = await sent;
  let body: unknown;
  try {
    body = await response.json();
  } catch (cause) {
    // Cut off on the way back, or something in between answered: as good as no answer, unless the status says more.
    if (response.ok) throw new Unreachable(cause);
    body = null;
  }
  return response.ok ? { data: body as T, response } : { error: body, response };
}

function whatItSays(error: Error | DetailedError): Error {
  const response = 'originalResponse' in error ? error.originalResponse : null;
  const status = response?.getStatus() ?? 0;
  if (!response || status === 0) return new Unreachable(error);
  // Where the server stands with these bytes is asked again: another try, or a sweep, was quicker.
  if ('originalRequest' in error && error.originalRequest.getMethod() === 'PATCH' && [404, 409, 410, 423].includes(status)) return new Unreachable(error);
  return new Refused(problemOf(status, parsed(response.getBody(), status)));
}

function parsed(text: string, status: number): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch (cause) {
    // No problem document of ours: the status has to do, and the reason goes along.
    return { code: `http_${status}`, title: `HTTP ${status}`, detail: String(cause) };
  }
}
