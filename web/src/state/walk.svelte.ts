// One inspection being worked on: what the server last said, what is on its way there, and everything about the
// vehicle and the hire that its questions need. Shared by all screens of the walk-round.
import { getTariff, getVehicle, vehicleRegister } from '../actions/fleet';
import { getHire } from '../actions/hires';
import { getInspection, inspectionTemplate, sendOperation, signInspection } from '../actions/inspection';
import { Unreachable } from '../api/problem';
import type { Hire, InspectionView, RegisterMark, Tariff, Template, Vehicle } from '../api/types';
import { apply, subjectOf, type Deed } from '../domain/deeds';
import { newId } from '../domain/ids';
import { stepsOf } from '../domain/walk';
import { recall, remember, type Operation } from '../store/db';
import { Outbox, type Outcome } from '../sync/outbox';
import type { App } from './app';

export interface Setting {
  hire: Hire;
  vehicle: Vehicle;
  template: Template;
  tariff: Tariff;
  register: RegisterMark[];
  /** The departure's inspection, on return. */
  departure: InspectionView | null;
}

export class Walk {
  base = $state.raw<InspectionView | null>(null);
  setting = $state.raw<Setting | null>(null);
  operations = $state.raw<readonly Operation[]>([]);
  error = $state.raw<unknown>(null);
  sending = $state(false);
  readonly view = $derived(
    this.base === null
      ? null
      : this.operations.filter((o) => o.state === 'waiting').reduce((view, o) => apply(view, o.deed), this.base),
  );
  readonly waiting = $derived(this.operations.filter((o) => o.state === 'waiting').length);
  readonly refused = $derived(this.operations.filter((o) => o.state === 'refused'));
  readonly steps = $derived(this.setting && this.view ? stepsOf(this.setting.template, this.view.leg) : []);
  readonly closed = $derived(this.view?.status === 'signed');
  /** Topics put before the hirer in this page, with the time each was first shown. */
  readonly shownAt = new Map<string, string>();
  readonly #outbox: Outbox;
  #loading: Promise<void> | null = null;

  constructor(
    private readonly app: App,
    readonly id: string,
  ) {
    this.#outbox = new Outbox({
      db: app.db,
      inspection: id,
      send: (operation, photo) => sendOperation(app.api, app.send, app.origin, operation, photo),
      newId,
      now: () => new Date(),
      changed: (operations, applied) => {
        if (applied && this.base) this.base = apply(this.base, applied);
        this.operations = operations;
      },
      busy: (busy) => {
        this.sending = busy;
      },
    });
    window.addEventListener('online', () => this.#outbox.flush());
  }

  /** Loads everything once; called again, it loads again only what a failure left out. */
  load(): Promise<void> {
    this.#loading ??= this.#load().finally(() => {
      this.#loading = null;
    });
    return this.#loading;
  }

  async #load(): Promise<void> {
    if (this.base && this.setting) return;
    this.error = null;
    try {
      const view = await this.#stored(`inspection/${this.id}`, () => getInspection(this.app.api, this.id));
      this.setting = await this.#stored(`setting/${this.id}`, () => this.#fetchSetting(view));
      this.base = view;
      await this.#outbox.load();
    } catch (error) {
      this.error = error;
    }
  }

  async #fetchSetting(view: InspectionView): Promise<Setting> {
    const { api } = this.app;
    const [hire, vehicle, template, register] = await Promise.all([
      getHire(api, view.hire),
      getVehicle(api, view.vehicle),
      inspectionTemplate(api, view.id),
      vehicleRegister(api, view.vehicle),
    ]);
    const [tariff, departure] = await Promise.all([
      getTariff(api, hire.tariff),
      view.leg === 'return' && hire.departure !== null ? getInspection(api, hire.departure) : null,
    ]);
    return { hire, vehicle: vehicle.value, template, tariff, register, departure };
  }

  /** The server's answer, kept on the device; without a signal, the one kept last. */
  async #stored<T>(key: string, fetch: () => Promise<T>): Promise<T> {
    try {
      const value = await fetch();
      await remember(this.app.db, key, value);
      return value;
    } catch (error) {
      const kept = error instanceof Unreachable ? await recall<T>(this.app.db, key) : null;
      if (kept) return kept.value;
      throw error;
    }
  }

  /** Loads what the server says now, once nothing is on its way. */
  async refresh(): Promise<void> {
    await this.#outbox.settled();
    this.error = null;
    try {
      this.base = await getInspection(this.app.api, this.id);
      await remember(this.app.db, `inspection/${this.id}`, this.base);
    } catch (error) {
      this.error = error;
    }
  }

  record(deed: Deed, photo?: Blob): Promise<{ outcome: Promise<Outcome> }> {
    return this.#outbox.record(deed, photo);
  }

  refusedOn(subject: string): Operation | undefined {
    return this.refused.find((o) => subjectOf(o.deed) === subject);
  }

  sendNow(): Promise<void> {
    return this.#outbox.retry();
  }

  letGo(operation: string): Promise<void> {
    return this.#outbox.letGo(operation);
  }

  /** Everything recorded is with the server. */
  async allSent(): Promise<boolean> {
    this.#outbox.flush();
    return (await this.#outbox.settled()) && this.refused.length === 0;
  }

  /** Closes the inspection. The key stays the same until it has been closed, so that a repeated try signs once. */
  async sign(key: string): Promise<void> {
    this.base = await signInspection(this.app.api, this.id, key);
    await remember(this.app.db, `inspection/${this.id}`, this.base);
  }
}

const walks = new Map<string, Walk>();

/** The one state of an inspection in this page, whichever screen asks. */
export function walkOf(app: App, id: string): Walk {
  const known = walks.get(id);
  if (known) {
    void known.load();
    return known;
  }
  // In a root of its own: otherwise what it derives would stop with the first screen that asked for it.
  const holder: { walk?: Walk } = {};
  $effect.root(() => {
    holder.walk = new Walk(app, id);
  });
  const { walk } = holder;
  if (!walk) throw new Error('a root effect did not run');
  walks.set(id, walk);
  void walk.load();
  return walk;
}
