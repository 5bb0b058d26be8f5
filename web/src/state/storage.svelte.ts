// Room on the device: whether the browser promises to keep what is stored, how much is left, and whether the
// application is installed. What cannot be had again comes before what can.
import type { Db } from '../store/db';

/** Nothing more can be written down. What is in the form stays in the form. */
export class StorageFull extends Error {
  constructor(cause: unknown) {
    super('the storage of this device is full', { cause });
    this.name = 'StorageFull';
  }
}

export function isStorageFull(error: unknown): boolean {
  return error instanceof DOMException && (error.name === 'QuotaExceededError' || (error.name === 'AbortError' && error.message.includes('Quota')));
}

/** Room for about forty photographs. Below this it is said before anything fails. */
export const LOW_BYTES = 40 * 1024 * 1024;

/** What a browser offers to be installed with. */
export interface InstallOffer extends Event {
  prompt(): Promise<void>;
  readonly userChoice: Promise<{ outcome: 'accepted' | 'dismissed' }>;
}

export type InstallWay = 'offered' | 'by_hand_safari' | 'installed' | 'unknown';

interface Host {
  storage: Pick<StorageManager, 'persist' | 'persisted' | 'estimate'> | undefined;
  userAgent: string;
  standalone: boolean;
}

export class StorageState {
  full = $state(false);
  persisted = $state<boolean | null>(null);
  free = $state<number | null>(null);
  used = $state<number | null>(null);
  offer = $state.raw<InstallOffer | null>(null);
  readonly low = $derived(this.free !== null && this.free < LOW_BYTES);

  constructor(
    private readonly db: Db,
    private readonly host: Host,
  ) {}

  get install(): InstallWay {
    if (this.host.standalone) return 'installed';
    if (this.offer) return 'offered';
    // Safari on phones offers nothing by itself: it is done by hand.
    const phone = /iPhone|iPad|iPod/u.test(this.host.userAgent);
    return phone ? 'by_hand_safari' : 'unknown';
  }

  /** Asks the browser to keep what is stored, and looks how much room there is. */
  async watch(): Promise<void> {
    const { storage } = this.host;
    if (!storage) return;
    this.persisted = (await storage.persisted()) || (await storage.persist());
    await this.measure();
  }

  async measure(): Promise<void> {
    const { storage } = this.host;
    if (!storage) return;
    const { quota, usage } = await storage.estimate();
    this.used = usage ?? null;
    this.free = quota === undefined || usage === undefined ? null : Math.max(0, quota - usage);
    if (this.full && this.free !== null && this.free > LOW_BYTES) this.full = false;
  }

  /** Lets go of copies that can be had again; false when there are none. */
  async makeRoom(): Promise<boolean> {
    const copies = await this.db.count('pictures');
    if (copies === 0) return false;
    try {
      await this.db.clear('pictures');
      return true;
    } catch (error) {
      // So full that not even this can be written.
      if (!isStorageFull(error)) throw error;
      return false;
    }
  }

  async askToInstall(): Promise<void> {
    const { offer } = this;
    if (!offer) return;
    await offer.prompt();
    await offer.userChoice;
    // An offer can be used once.
    this.offer = null;
  }
}
