// A form whose content stands in the device's database while it is filled in, and until the server has it.
import { clearDraft, loadDraft, saveDraft } from '../store/drafts';
import type { App } from './app';
import { StorageFull } from './storage.svelte';

export class KeptForm<T extends object> {
  value = $state() as T;
  busy = $state(false);
  error = $state.raw<unknown>(null);
  /** Whether sending was tried: only then faults of fields are shown. */
  checked = $state(false);
  ready = $state(false);
  #timer: ReturnType<typeof setTimeout> | null = null;
  #done = false;

  constructor(
    private readonly app: App,
    private readonly key: string,
    initial: T,
  ) {
    this.value = initial;
    void this.#restore();
    $effect(() => {
      const now = JSON.stringify(this.value);
      if (!this.ready || this.#done) return;
      if (this.#timer !== null) clearTimeout(this.#timer);
      this.#timer = setTimeout(() => void this.#keep(now), 150);
    });
  }

  async #restore(): Promise<void> {
    const draft = await loadDraft<T>(this.app.db, this.key);
    // Fields added since the draft was kept get their first value.
    if (draft !== null) this.value = { ...this.value, ...draft };
    this.ready = true;
  }

  async #keep(json: string): Promise<void> {
    if (!this.#done) await saveDraft(this.app.db, this.key, JSON.parse(json));
  }

  /** Sends the form; on success the draft is forgotten, on failure the error is kept for showing. */
  async submit(work: () => Promise<void>): Promise<boolean> {
    this.checked = true;
    this.busy = true;
    this.error = null;
    try {
      await work();
      this.#done = true;
      if (this.#timer !== null) clearTimeout(this.#timer);
      await clearDraft(this.app.db, this.key);
      return true;
    } catch (error) {
      // A full device is said by its own notice; the form keeps what is in it.
      if (!(error instanceof StorageFull)) this.error = error;
      return false;
    } finally {
      this.busy = false;
    }
  }
}
