// Files that the browser could not fetch by itself, because a plain link does not say who is asking.
import { BASE } from './client';
import { refusal, type Send } from './http';
import { Unreachable } from './problem';

export interface Coming {
  had: number;
  /** How long it will be, where the server says so. */
  of: number | null;
}

function nameIn(response: Response): string | null {
  return /filename="([^"]+)"/u.exec(response.headers.get('Content-Disposition') ?? '')?.[1] ?? null;
}

/** Fetches a file piece by piece and gives it to the browser to save; gives its length. */
export async function download(send: Send, origin: string, path: string, name: string, coming: (so: Coming) => void): Promise<number> {
  const response = await send(new Request(`${origin}${BASE}${path}`));
  if (!response.ok) throw await refusal(response);
  const length = Number(response.headers.get('Content-Length') ?? Number.NaN);
  const of = Number.isFinite(length) && response.headers.get('Content-Encoding') === null ? length : null;
  const pieces: Uint8Array<ArrayBuffer>[] = [];
  let had = 0;
  const reader = response.body?.getReader();
  for (;;) {
    const step = await reader?.read().catch((cause: unknown) => {
      // Broken off on its way.
      throw new Unreachable(cause);
    });
    if (step === undefined || step.done) break;
    pieces.push(step.value);
    had += step.value.length;
    coming({ had, of });
  }
  const url = URL.createObjectURL(new Blob(pieces, { type: response.headers.get('Content-Type') ?? 'application/octet-stream' }));
  const link = document.createElement('a');
  link.href = url;
  link.download = nameIn(response) ?? name;
  link.click();
  // The browser has taken it by then.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  return had;
}
