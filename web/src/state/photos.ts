// Photographs as addresses an <img> can show. They are fetched with who is asking in the header, so the browser
// cannot load them by itself; ones still on this device come from its database.
import { BASE } from '../api/client';
import { refusal, type Send } from '../api/http';
import type { Db } from '../store/db';

export type PhotoSize = 'list' | 'screen' | 'zoom';

/** More than the largest screen shows at once; older ones are let go. */
const KEPT = 80;

export class PhotoCache {
  readonly #urls = new Map<string, Promise<string>>();

  constructor(
    private readonly db: Db,
    private readonly send: Send,
    private readonly origin: string,
  ) {}

  url(id: string, size: PhotoSize): Promise<string> {
    return this.#kept(`${id}/${size}`, () => this.#load(id, size));
  }

  /** The departure's photograph as the camera of this one saw it. */
  before(id: string, size: PhotoSize): Promise<string> {
    return this.#kept(`${id}/before/${size}`, () => this.#fetch(`/photos/${id}/before?size=${size}`));
  }

  #kept(key: string, load: () => Promise<string>): Promise<string> {
    let url = this.#urls.get(key);
    if (!url) {
      url = load();
      this.#urls.set(key, url);
      // A failed load must not be remembered as the answer.
      url.catch(() => this.#urls.delete(key));
      this.#trim();
    } else {
      // Last used is last let go.
      this.#urls.delete(key);
      this.#urls.set(key, url);
    }
    return url;
  }

  async #load(id: string, size: PhotoSize): Promise<string> {
    const local = await this.#local(id, size);
    if (local) return URL.createObjectURL(local);
    return this.#fetch(`/photos/${id}?size=${size}`);
  }

  /** On its way to the server, or a copy kept for without a signal. Enlarged, the server's is asked for first. */
  async #local(id: string, size: PhotoSize): Promise<Blob | undefined> {
    const own = await this.db.get('blobs', id);
    if (own) return own;
    if (size === 'zoom' && navigator.onLine) return undefined;
    for (const key of [`${id}/${size}`, `${id}/screen`, `${id}/list`]) {
      const copy = await this.db.get('pictures', key);
      if (copy) return copy.blob;
    }
    return undefined;
  }

  async #fetch(path: string): Promise<string> {
    const response = await this.send(new Request(`${this.origin}${BASE}${path}`));
    if (!response.ok) throw await refusal(response);
    return URL.createObjectURL(await response.blob());
  }

  #trim(): void {
    for (const [key, url] of this.#urls) {
      if (this.#urls.size <= KEPT) return;
      this.#urls.delete(key);
      url.then((address) => URL.revokeObjectURL(address)).catch(() => this.#urls.delete(key));
    }
  }
}
