// Fetches, while there is a signal, what the yard will need without one: the hires of today and tomorrow, each with its
// vehicle, walk-round, tariff and register, the inspections begun, the departure's answers and its photographs.
import { listDepots } from '../actions/fleet';
import { dueKey, dueLists, getToday } from '../actions/hires';
import { BASE, type Api } from '../api/client';
import { refusal, type Send } from '../api/http';
import type { StartLeg, Tariff, TodayHire } from '../api/types';
import type { Setting } from '../domain/setting';
import { addDays, dayIn } from '../domain/zone';
import { basisKey, hireKey, settingKey } from './keys';
import { keepView, remember, viewEpochs, type Db } from '../store/db';

export interface AheadParts {
  api: Api;
  send: Send;
  origin: string;
  db: Db;
  now(): Date;
  depot: string | null;
  /** Whether copies of photographs may take room: not when it is short. */
  room(): boolean;
}

export interface AheadDone {
  at: string;
  /** Whose hires: those of this depot, or of all. */
  depot: string | null;
  hires: number;
  photos: number;
}

const LISTED: readonly ('list' | 'screen')[] = ['list', 'screen'];

export async function pullAhead(parts: AheadParts): Promise<AheadDone> {
  const { api, db, depot } = parts;
  const depots = await listDepots(api);
  await remember(db, 'depots', depots);
  const zone = depots.find((d) => d.id === depot)?.zone ?? depots[0]?.zone ?? 'UTC';
  const today = dayIn(parts.now(), zone);
  for (const on of [today, addDays(today, 1)]) await remember(db, dueKey(on, depot ?? ''), await dueLists(api, on, depot ?? ''));
  // How far each view had come on this device when the server was asked.
  const epochs = await viewEpochs(db);
  const day = await getToday(api, depot);
  const wanted = new Set<string>();
  for (const here of day.hires) await keepHire(parts, here, day.tariffs, epochs, wanted);
  const photos = await pullPhotos(parts, [...wanted]);
  const done: AheadDone = { at: parts.now().toISOString(), depot, hires: day.hires.length, photos };
  await remember(db, 'ahead', done);
  return done;
}

async function keepHire(parts: AheadParts, here: TodayHire, tariffs: readonly Tariff[], epochs: ReadonlyMap<string, number>, wanted: Set<string>): Promise<void> {
  const { db } = parts;
  const { hire, vehicle, template, register } = here;
  const tariff = tariffs.find((t) => t.id === hire.tariff);
  if (!tariff) throw new Error(`the server gave hire ${hire.id} without its tariff`);
  for (const view of [here.departure, here.return]) if (view) await keepView(db, view, epochs.get(view.id) ?? 0);
  const leg: StartLeg = hire.status === 'booked' ? 'departure' : 'return';
  const departure = leg === 'return' ? here.departure : null;
  const setting: Setting = { hire, vehicle, template, tariff, register, departure };
  await remember(db, basisKey(hire.id, leg), setting);
  const begun = hire[leg];
  if (begun !== null) await remember(db, settingKey(begun), setting);
  // Begun on this device and not sent yet: the server does not know it, and must not take it away.
  if (!(await begunHere(db, hire.id))) await remember(db, hireKey(hire.id), hire);
  for (const photo of departure?.photos ?? []) if (photo.arrived) wanted.add(photo.id);
}

async function begunHere(db: Db, hire: string): Promise<boolean> {
  return (await db.getAll('operations')).some((o) => o.deed.kind === 'start' && o.deed.hire === hire);
}

/** Copies of photographs that are not here yet; those nobody needs any more go. */
async function pullPhotos(parts: AheadParts, wanted: readonly string[]): Promise<number> {
  const { db } = parts;
  await letGoOfOld(parts, new Set(wanted));
  let pulled = 0;
  for (const photo of wanted) {
    for (const size of LISTED) {
      const key = `${photo}/${size}`;
      if ((await db.getKey('pictures', key)) !== undefined) continue;
      if (!parts.room()) return pulled;
      const response = await parts.send(new Request(`${parts.origin}${BASE}/photos/${photo}?size=${size}`));
      // Its bytes may not have arrived at the server yet.
      if (response.status === 404 || response.status === 409) continue;
      if (!response.ok) throw await refusal(response);
      await db.put('pictures', { key, photo, blob: await response.blob(), at: parts.now().toISOString() });
      pulled += 1;
    }
  }
  return pulled;
}

const KEPT_MS = 3 * 86_400_000;

async function letGoOfOld(parts: AheadParts, wanted: ReadonlySet<string>): Promise<void> {
  const tx = parts.db.transaction(['pictures', 'receipts'], 'readwrite');
  const before = new Date(parts.now().getTime() - KEPT_MS).toISOString();
  for (let at = await tx.objectStore('pictures').openCursor(); at; at = await at.continue()) {
    if (!wanted.has(at.value.photo) && at.value.at < before) await at.delete();
  }
  const old = new Date(parts.now().getTime() - 10 * KEPT_MS).toISOString();
  for (let at = await tx.objectStore('receipts').openCursor(); at; at = await at.continue()) {
    if (at.value.received_at < old) await at.delete();
  }
  await tx.done;
}
