// Addresses to screens. Screens are loaded when they are first shown, so that the first page stays small.
import type { Component } from 'svelte';
import { painted } from './painted';

export type Params = Readonly<Record<string, string>>;
export type Screen = Component<{ params: Params }>;

export interface Route {
  /** Such as `/hires/:id`. */
  pattern: string;
  load: () => Promise<{ default: Screen }>;
  /** The name in the pattern whose value makes another screen; the others only change what stands on it. */
  stays?: string;
  /** Shown without being signed in. */
  open?: boolean;
}

/** The values a path has for a pattern's names, or null when it does not fit. */
export function match(pattern: string, path: string): Params | null {
  const wanted = pattern.split('/');
  const given = path.replace(/\/+$/u, '').split('/');
  if (wanted.length !== given.length) return null;
  const params: Record<string, string> = {};
  for (const [i, part] of wanted.entries()) {
    const value = given[i] ?? '';
    if (part.startsWith(':')) params[part.slice(1)] = decodeURIComponent(value);
    else if (part !== value) return null;
  }
  return params;
}

export class Router {
  path = $state('/');
  query = $state.raw(new URLSearchParams());
  #asked = 0;

  constructor(private readonly host: Window) {
    this.#read();
    host.addEventListener('popstate', () => {
      this.#asked += 1;
      this.#read();
    });
    host.document.addEventListener('click', (event) => this.#click(event));
  }

  /** As `go`, once the tap that asks for it has been answered: the next screen is much work on a slow telephone. */
  async follow(to: string): Promise<void> {
    this.#asked += 1;
    const asked = this.#asked;
    await painted();
    // Asked for another one meanwhile, or gone by the browser's own buttons.
    if (asked === this.#asked) this.go(to);
  }

  go(to: string, how: 'push' | 'replace' = 'push'): void {
    this.#asked += 1;
    if (how === 'push') this.host.history.pushState(null, '', to);
    else this.host.history.replaceState(null, '', to);
    this.#read();
    this.host.scrollTo(0, 0);
  }

  #read(): void {
    this.path = this.host.location.pathname;
    this.query = new URLSearchParams(this.host.location.search);
  }

  /** Plain links within the application change the screen; everything else is the browser's. */
  #click(event: MouseEvent): void {
    if (event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = event.target instanceof Element ? event.target.closest('a') : null;
    if (!link || link.target !== '' || link.hasAttribute('download') || link.origin !== this.host.location.origin) return;
    if (link.pathname.startsWith('/api/') || link.hash !== '') return;
    event.preventDefault();
    void this.follow(link.pathname + link.search);
  }
}
