// One inspection being worked on: what the server last said, what is on its way there, and everything about the
// vehicle and the hire that its questions need. Shared by all screens of the walk-round.
import { getTariff, getVehicle, vehicleRegister } from '../actions/fleet';
import { getHire } from '../actions/hires';
import { getInspection, inspectionTemplate } from '../actions/inspection';
import type { InspectionView } from '../api/types';
import type { App } from './app';
import { endingIn } from '../domain/cautions';
import { conflicts } from '../domain/conflicts';
import { apply, subjectOf, type Deed } from '../domain/deeds';
import type { Setting } from '../domain/setting';
import { stepsOf } from '../domain/walk';
import { keepView, recall, viewEpoch, type Operation, type Upload } from '../store/db';
import { settingKey } from '../sync/keys';
import type { Outcome } from '../sync/engine';
import { cannotAsk, stored } from './stored';

export type { Setting } from '../domain/setting';

/** Looked at again after this long, so that what another phone recorded is seen. */
const FRESH_MS = 10_000;
/** Long enough for the screen to have answered a tap, too short for a person to miss anything. */
const READ_AFTER_MS = 120;

interface Laid {
  base: InspectionView;
  /** What lies over it, in order. */
  ids: readonly string[];
  view: InspectionView;
}

export class Walk {
  base = $state.raw<InspectionView | null>(null);
  setting = $state.raw<Setting | null>(null);
  operations = $state.raw<readonly Operation[]>([]);
  uploads = $state.raw<readonly Upload[]>([]);
  error = $state.raw<unknown>(null);
  readonly view = $derived(this.base === null ? null : this.#lay(this.base, this.operations));
  readonly #leg = $derived(this.view?.leg ?? null);
  readonly waiting = $derived(this.operations.filter((o) => o.state === 'waiting').length);
  readonly refused = $derived(this.operations.filter((o) => o.state === 'refused'));
  // Of the template and the leg alone: an answer changes no step.
  readonly steps = $derived(this.setting && this.#leg ? stepsOf(this.setting.template, this.#leg) : []);
  /** What all cautions of the questions end with: told once, at the list of stops. */
  readonly ending = $derived(this.setting ? this.#endingOf(this.setting) : null);
  readonly closed = $derived(this.view?.status === 'signed');
  /** Questions that have two answers, for a person to choose. */
  readonly conflicts = $derived(this.view ? conflicts(this.view) : []);
  /** Topics put before the hirer in this page, with the time each was first shown. */
  readonly shownAt = new Map<string, string>();
  #loading: Promise<void> | null = null;
  #askedAt = 0;
  #laid: Laid | null = null;
  #stamp = '';
  #recorded = 0;
  #reading: ReturnType<typeof setTimeout> | null = null;

  constructor(
    private readonly app: App,
    readonly id: string,
  ) {
    app.sync.listen(id, () => this.#readSoon());
  }

  /** What waits, laid over what the server said; what was laid already stays, and only what came since is added. */
  #lay(base: InspectionView, operations: readonly Operation[]): InspectionView {
    const waiting = operations.filter((o) => o.state === 'waiting');
    const laid = this.#laid;
    const goesOn = laid !== null && laid.base === base && laid.ids.length <= waiting.length && laid.ids.every((id, i) => waiting[i]?.id === id);
    const from = goesOn ? laid : { base, ids: [], view: base };
    const view = waiting.slice(from.ids.length).reduce((v, o) => apply(v, o.deed), from.view);
    this.#laid = { base, ids: waiting.map((o) => o.id), view };
    return view;
  }

  #endingOf({ template }: Setting): string | null {
    return endingIn(template.stops.flatMap((s) => (s.checkpoints ?? []).map((c) => c.caution)), this.app.lang.lang);
  }

  /** What this page records it shows already: the database is read again once the tap has been answered. */
  #readSoon(): void {
    if (this.#reading !== null) return;
    this.#reading = setTimeout(() => {
      this.#reading = null;
      void this.#read();
    }, READ_AFTER_MS);
  }

  /** Loads everything once; called again, it loads again only what a failure left out, and what has aged. */
  load(): Promise<void> {
    this.#loading ??= this.#load().finally(() => {
      this.#loading = null;
    });
    return this.#loading;
  }

  async #load(): Promise<void> {
    if (this.base && this.setting) {
      if (Date.now() - this.#askedAt > FRESH_MS) await this.#ask();
      return;
    }
    this.error = null;
    try {
      await this.#read();
      // What is on the device is shown at once; the server's word follows.
      if (!this.base) await this.#fetch();
      else void this.#ask();
      const view = this.base;
      if (!view) return;
      // Begun on this device and not sent yet: the server would say that there is no such inspection.
      const own = this.#begunHere ? await recall<Setting>(this.app.db, settingKey(this.id)) : null;
      this.setting = own ? own.value : (await stored(this.app.db, settingKey(this.id), () => fetchSetting(this.app, view))).value;
    } catch (error) {
      this.error = error;
    }
  }

  async #read(): Promise<void> {
    const before = this.#recorded;
    const { view, stamp, operations, uploads } = await this.app.sync.read(this.id);
    // Recorded meanwhile: what was read may lack it, and would take it off the screen for a moment.
    if (before !== this.#recorded) return this.#read();
    // Loaded screens keep what they show when the database has lost it, and do not take the same again for news.
    if (view && (stamp !== this.#stamp || this.base === null)) this.base = view;
    this.#stamp = stamp;
    this.operations = operations;
    this.uploads = uploads;
  }

  /** Begun on this device, and the server does not know of it yet. */
  get #begunHere(): boolean {
    return this.operations.some((o) => o.deed.kind === 'start');
  }

  async #ask(): Promise<void> {
    try {
      await this.#fetch();
    } catch (error) {
      if (!cannotAsk(error)) this.error = error;
    }
  }

  /** Takes what the server says, unless something was applied on this device meanwhile: then it is asked again. */
  async #fetch(): Promise<void> {
    if (this.#begunHere) return;
    this.#askedAt = Date.now();
    for (let i = 0; i < 3; i += 1) {
      const epoch = await viewEpoch(this.app.db, this.id);
      const view = await getInspection(this.app.api, this.id);
      if (await keepView(this.app.db, view, epoch)) break;
    }
    await this.#read();
  }

  /** Loads what the server says now, once no operation is on its way. */
  async refresh(): Promise<void> {
    await this.app.sync.operationsSettled();
    this.error = null;
    await this.#ask();
  }

  async record(deed: Deed, photo?: Blob): Promise<{ outcome: Promise<Outcome> }> {
    const { operation, replaced, outcome } = await this.app.sync.record(this.id, deed, photo ? { photo } : {});
    this.#recorded += 1;
    // Shown at once: reading it back from the database comes a moment later.
    if (!this.operations.some((o) => o.id === operation.id)) {
      this.operations = [...this.operations.filter((o) => !replaced.includes(o.id)), operation];
    }
    return { outcome };
  }

  refusedOn(subject: string): Operation | undefined {
    return this.refused.find((o) => subjectOf(o.deed) === subject);
  }

  /** Everything recorded is with the server, photographs too. */
  async allSent(): Promise<boolean> {
    this.app.sync.flush();
    const sent = await this.app.sync.settled();
    await this.#read();
    return sent && this.refused.length === 0;
  }
}

/** Everything the screens of an inspection need besides itself. */
export async function fetchSetting(app: Pick<App, 'api'>, view: InspectionView): Promise<Setting> {
  const { api } = app;
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
  return { hire, vehicle: vehicle.value, template, tariff, register: register.filter((m) => m.state === 'open'), departure };
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
