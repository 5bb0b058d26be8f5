// The outbox as the screens see it: how much is unsent, what is on its way, what was refused. Other pages of the same
// browser are told of every change, and tell of theirs.
import type { InspectionView } from '../api/types';
import type { Deed } from '../domain/deeds';
import type { Db, Operation, Upload } from '../store/db';
import { letGo, operationsOf, sendAgain, type Unsent } from '../store/outbox';
import { viewKey } from '../store/db';
import { Engine, type EngineParts, type Outcome, type Progress, type RecordMore } from '../sync/engine';
import { isStorageFull, StorageFull, type StorageState } from './storage.svelte';

const QUIET: Progress = { sending: false, signedOut: false, stuck: false, photosDone: 0, photos: 0, bytesDone: 0, bytes: 0 };

type Message = { says: 'changed'; inspections: readonly string[] } | { says: 'progress'; progress: Progress };

export interface SyncParts extends Omit<EngineParts, 'changed' | 'progress'> {
  storage: StorageState;
  channel: Pick<BroadcastChannel, 'postMessage' | 'addEventListener'> | null;
  /** Keeps how much is unsent outside of the database, so that its loss is noticed. */
  note(unsent: Unsent): void;
}

export interface Attention {
  operations: Operation[];
  uploads: Upload[];
}

export class SyncState {
  progress = $state.raw<Progress>(QUIET);
  unsent = $state.raw<Unsent>({ records: 0, photos: 0, bytes: 0, refused: 0 });
  /** Nothing is on this device that the server does not have. */
  readonly clear = $derived(this.unsent.records === 0 && this.unsent.photos === 0 && this.unsent.refused === 0);
  readonly #engine: Engine;
  readonly #parts: SyncParts;
  readonly #listeners = new Map<string, Set<() => void>>();
  readonly #db: Db;

  constructor(parts: SyncParts) {
    this.#parts = parts;
    this.#db = parts.db;
    this.#engine = new Engine({
      ...parts,
      changed: (inspections) => {
        this.#told(this.#engine.left, inspections);
        this.#tell({ says: 'changed', inspections });
      },
      progress: (progress) => {
        // Waiting for another page to finish is not sending: what that page tells is shown meanwhile.
        const waits = progress.sending && progress.photosDone === 0 && progress.bytesDone === 0 && this.progress.sending && this.progress.bytesDone > 0;
        if (!waits) this.progress = progress;
        this.#tell({ says: 'progress', progress });
      },
    });
    parts.channel?.addEventListener('message', (event: MessageEvent<Message>) => {
      if (event.data.says === 'changed') void this.#changed(event.data.inspections);
      else if (event.data.progress.sending || !this.progress.sending) this.progress = event.data.progress;
    });
  }

  #tell(message: Message): void {
    this.#parts.channel?.postMessage(message);
  }

  async #changed(inspections: readonly string[]): Promise<void> {
    this.#told(await this.#engine.recount(), inspections);
  }

  #told(unsent: Unsent, inspections: readonly string[]): void {
    this.unsent = unsent;
    this.#parts.note(unsent);
    for (const inspection of inspections) for (const listener of this.#listeners.get(inspection) ?? []) listener();
  }

  /** Counts what is there and begins to send it. */
  async begin(): Promise<void> {
    await this.#changed([]);
    this.#engine.flush();
  }

  /** Writes a deed down. A full storage is said on the screen, and thrown, so that forms keep what is in them. */
  async record(inspection: string, deed: Deed, more: RecordMore = {}): Promise<{ operation: Operation; replaced: string[]; outcome: Promise<Outcome> }> {
    try {
      return await this.#engine.record(inspection, deed, more);
    } catch (error) {
      if (!isStorageFull(error)) throw error;
      // Copies that can be had again give way to what cannot.
      if (await this.#parts.storage.makeRoom()) {
        try {
          return await this.#engine.record(inspection, deed, more);
        } catch (again) {
          if (!isStorageFull(again)) throw again;
        }
      }
      this.#parts.storage.full = true;
      throw new StorageFull(error);
    }
  }

  listen(inspection: string, listener: () => void): void {
    const known = this.#listeners.get(inspection) ?? new Set();
    this.#listeners.set(inspection, known.add(listener));
  }

  /** A view and what waits on it, as of one moment. */
  async read(inspection: string): Promise<{ view: InspectionView | null; stamp: string; operations: Operation[]; uploads: Upload[] }> {
    const tx = this.#db.transaction(['cache', 'operations', 'uploads']);
    const cached = await tx.objectStore('cache').get(viewKey(inspection));
    const operations = await tx.objectStore('operations').index('inspection').getAll(inspection);
    const uploads = await tx.objectStore('uploads').index('inspection').getAll(inspection);
    await tx.done;
    operations.sort((a, b) => (a.sequence ?? 0) - (b.sequence ?? 0));
    // Changes with every change of what is kept.
    const stamp = cached ? `${cached.at}/${cached.epoch ?? 0}` : '';
    return { view: (cached?.value as InspectionView | undefined) ?? null, stamp, operations, uploads };
  }

  async attention(): Promise<Attention> {
    const operations = (await this.#db.getAll('operations')).filter((o) => o.state === 'refused');
    const uploads = (await this.#db.getAll('uploads')).filter((u) => u.state === 'refused');
    return { operations, uploads };
  }

  /** Sends what waits, and what was refused once more: something may have been put right elsewhere. */
  async sendNow(): Promise<void> {
    const { operations, uploads } = await this.attention();
    const ids = [...operations.map((o) => o.id), ...uploads.map((u) => u.photo)];
    if (ids.length > 0) {
      await sendAgain(this.#db, ids, { newId: () => this.#parts.newId() });
      const inspections = [...new Set([...operations, ...uploads].map((x) => x.inspection))];
      await this.#changed(inspections);
      this.#tell({ says: 'changed', inspections });
    }
    this.#engine.tryAgain();
  }

  async letGo(id: string): Promise<void> {
    const { operations, uploads } = await this.attention();
    await letGo(this.#db, id);
    const inspection = operations.find((o) => o.id === id)?.inspection ?? uploads.find((u) => u.photo === id)?.inspection;
    const inspections = inspection === undefined ? [] : [inspection];
    await this.#changed(inspections);
    this.#tell({ says: 'changed', inspections });
  }

  flush(): void {
    this.#engine.flush();
  }

  tryAgain(): void {
    this.#engine.tryAgain();
  }

  settled(): Promise<boolean> {
    return this.#engine.settled();
  }

  operationsSettled(): Promise<boolean> {
    return this.#engine.operationsSettled();
  }

  operationsOf(inspection: string): Promise<Operation[]> {
    return operationsOf(this.#db, inspection);
  }
}
