// A return of 250 questions with 60 photographs, laid out through the server's own interface.
import { createHash, randomUUID } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Direct } from './server';

const PICTURES = resolve(import.meta.dirname, '../../fixtures/photos/pairs');

type Words = Record<string, string>;
interface Ask {
  kind: string;
  area?: string;
}
interface Checkpoint {
  key: string;
  system: string;
  title: Words;
  guidance: Words;
  leg?: string;
  needs?: string[];
  ask: Ask;
  photo?: string;
}
interface Template {
  id: string;
  version: number;
  stops: { key: string; checkpoints: Checkpoint[]; viewpoints: { key: string }[]; items?: { key: string; pieces?: number }[] }[];
}
interface View {
  id: string;
  due_topics: { topic: string }[];
  open_points: { key: string; kind: string; blocks: boolean; words: string }[];
}

/** Time-ordered, as the device makes them. */
export function newId(): string {
  const time = Date.now().toString(16).padStart(12, '0');
  const rest = randomUUID().replaceAll('-', '');
  return `${time.slice(0, 8)}-${time.slice(8)}-7${rest.slice(13, 16)}-${rest.slice(16, 20)}-${rest.slice(20)}`;
}

export function answer(ask: Ask, unit: string, grades: Map<string, string>): unknown {
  const gauge = { gauge: { part: 8, of: 8 } };
  switch (ask.kind) {
    case 'odometer':
      return { kind: 'odometer', value: '90000', unit };
    case 'fuel':
      return { kind: 'fuel', level: gauge };
    case 'cylinder':
      return { kind: 'cylinder', gross_kg: '13.9', tare_kg: '8.3', net_fill_kg: '6', half_width_kg: '0.05' };
    case 'leisure_battery':
      return { kind: 'leisure_battery', volts: '12.7', half_width: '0.05', minutes_at_rest: 240 };
    case 'starter_battery':
      return { kind: 'starter_battery', volts: '12.6', half_width: '0.05' };
    case 'water':
      return { kind: 'water', level: { gauge: { part: 0, of: 4 } }, drained: true };
    case 'cassette':
      return { kind: 'cassette', state: 'empty_rinsed', dosed: true };
    case 'tread':
      return { kind: 'tread', mm: '6', half_width: '0.1' };
    case 'keys':
      return { kind: 'keys', pieces: 2 };
    case 'cleanliness':
      return { kind: 'cleanliness', grade: grades.get(ask.area ?? '') };
    default:
      return { kind: 'condition', state: 'in_order' };
  }
}

/** Sends deeds as a device would, and fails on the first that is not applied. */
export class Device {
  readonly #id = newId();
  #sequence = 0;

  constructor(
    private readonly direct: Direct,
    private readonly inspection: string,
  ) {}

  async send(deeds: readonly unknown[]): Promise<void> {
    for (let from = 0; from < deeds.length; from += 50) {
      const operations = deeds.slice(from, from + 50).map((deed) => {
        this.#sequence += 1;
        return { id: newId(), sequence: this.#sequence, done_at: new Date().toISOString(), inspection: this.inspection, deed };
      });
      const response = await this.direct.raw('manager', '/operations', {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify({ device: this.#id, operations }),
      });
      const { outcomes } = (await response.json()) as { outcomes: { outcome: string; problem?: unknown }[] };
      const bad = outcomes.find((o) => o.outcome !== 'applied');
      if (bad) throw new Error(`not applied: ${JSON.stringify(bad.problem)}`);
    }
  }
}

async function photos(direct: Direct, device: Device, inspection: string, subjects: readonly Record<string, string>[]): Promise<void> {
  const files = readdirSync(PICTURES).filter((f) => f.endsWith('.jpg'));
  for (const [i, subject] of subjects.entries()) {
    const bytes = readFileSync(join(PICTURES, files[i % files.length] ?? ''));
    const id = newId();
    const sha256 = createHash('sha256').update(bytes).digest('hex');
    await device.send([{ kind: 'photo', id, subject, taken_at: new Date().toISOString(), sha256, bytes: bytes.length, width: 896, height: 672, content_type: 'image/jpeg' }]);
    const key = Object.entries(subject).find(([name]) => name !== 'of')?.[1] ?? '';
    const query = new URLSearchParams({ of: subject['of'] ?? '', key, taken_at: new Date().toISOString() });
    await direct.raw('manager', `/inspections/${inspection}/photos/${id}?${query}`, { method: 'PUT', headers: { 'Content-Type': 'image/jpeg' }, body: bytes });
  }
}

const LINE = [[[0.1, 0.5], [0.4, 0.2], [0.7, 0.8], [0.9, 0.4]]];

/** Books a hire of a vehicle whose walk-round has that many questions, hands it over, and begins its return. */
export async function longReturn(direct: Direct, questions: number, pictures: number): Promise<{ inspection: string; hire: string }> {
  const { items: vehicles } = await direct.get<{ items: { id: string; depot: string; template: string; tariff: string; odometer_unit: string }[] }>('/vehicles');
  const { items: hires } = await direct.get<{ items: { vehicle: string; status: string; agreed_departure: string }[] }>('/hires?limit=200');
  const soon = new Date(Date.now() + 2 * 86_400_000).toISOString();
  const busy = new Set(hires.filter((h) => h.status === 'out' || (h.status === 'booked' && h.agreed_departure < soon)).map((h) => h.vehicle));
  const vehicle = vehicles.find((v) => !busy.has(v.id));
  if (!vehicle) throw new Error('every vehicle of the demonstration is out or booked');
  const tariff = await direct.get<{ currency: string; cleanliness?: { area: string; grades: { key: string }[] }[] }>(`/tariffs/${vehicle.tariff}`);
  const grades = new Map((tariff.cleanliness ?? []).map((c) => [c.area, c.grades[0]?.key ?? '']));
  const shown = await direct.get<Template>(`/vehicles/${vehicle.id}/template`);
  const asked = shown.stops.flatMap((s) => s.checkpoints).filter((c) => c.leg !== 'departure').length;

  const template = await direct.get<Template>(`/templates/${vehicle.template}`);
  for (let i = 0; i < questions - asked; i += 1) {
    const stop = template.stops[i % template.stops.length];
    const system = stop?.checkpoints[0]?.system;
    if (!stop || system === undefined) throw new Error('a stop of the template has no question');
    const words = (en: string, de: string): Words => ({ en, de });
    stop.checkpoints.push({ key: `further_${i}`, system, title: words(`Further part ${i + 1}`, `Weiteres Teil ${i + 1}`), guidance: words('Look at it from all sides.', 'Von allen Seiten ansehen.'), ask: { kind: 'condition' } });
  }
  const longer = { ...template, id: newId(), version: template.version + 1 };
  const json = { 'Content-Type': 'application/json' };
  await direct.raw('manager', '/templates', { method: 'POST', headers: json, body: JSON.stringify(longer) });
  const current = await direct.raw('manager', `/vehicles/${vehicle.id}`);
  await direct.raw('manager', `/vehicles/${vehicle.id}`, { method: 'PATCH', headers: { ...json, 'If-Match': current.headers.get('etag') ?? '' }, body: JSON.stringify({ template: longer.id }) });

  const hire = newId();
  const day = 86_400_000;
  const money = (minor: number) => ({ minor, currency: tariff.currency });
  const booking = { id: hire, reference: `LONG-${questions}`, depot: vehicle.depot, vehicle: vehicle.id, agreed_departure: new Date(Date.now() - day).toISOString(), agreed_return: new Date(Date.now() + day).toISOString(), excess: money(100_000), deposit: money(100_000), deposit_means: 'card',
    drivers: [{ id: newId(), name: 'Rowan Probe', lead: true, email: 'rowan@example.com' }] };
  await direct.raw('manager', '/hires', { method: 'POST', headers: json, body: JSON.stringify(booking) });

  const departure = newId();
  const out = new Device(direct, departure);
  await out.send([{ kind: 'start', hire, leg: 'departure' }]);
  const walk = await direct.get<Template>(`/inspections/${departure}/template`);
  const steps = walk.stops.flatMap((s) => [...s.checkpoints.filter((c) => c.leg !== 'return').map((c) => ({ key: c.key, answer: answer(c.ask, vehicle.odometer_unit, grades) })), ...(s.items ?? []).map((i) => ({ key: i.key, answer: { kind: 'count', pieces: i.pieces ?? 1 } }))]);
  const entry = (s: { key: string; answer: unknown }) => ({ kind: 'entry', id: newId(), input: { checkpoint: s.key, answer: s.answer, photos: [], recorded_at: new Date().toISOString(), replaces: [] } });
  await out.send(steps.map(entry));
  await photos(direct, out, departure, [
    ...walk.stops.flatMap((s) => s.viewpoints.map((v) => ({ of: 'viewpoint', viewpoint: v.key }))),
    ...walk.stops.flatMap((s) => s.checkpoints.filter((c) => c.photo === 'required' && c.leg !== 'return').map((c) => ({ of: 'checkpoint', checkpoint: c.key }))),
  ]);
  const view = await direct.get<View>(`/inspections/${departure}`);
  const now = () => new Date().toISOString();
  await out.send(view.due_topics.map((d) => ({ kind: 'briefing', topic: d.topic, input: { shown_at: now(), acknowledged_at: now() } })));
  await out.send([{ kind: 'handover', at: now() }, ...['hirer', 'staff'].map((role) => ({ kind: 'signature', role, input: { name: 'Rowan Probe', strokes: LINE, signed_at: now() } })), { kind: 'sign' }]);

  const inspection = newId();
  const back = new Device(direct, inspection);
  await back.send([{ kind: 'start', hire, leg: 'return' }]);
  const subjects = [
    ...walk.stops.flatMap((s) => s.viewpoints.map((v) => ({ of: 'viewpoint', viewpoint: v.key }))),
    ...walk.stops.flatMap((s) => s.checkpoints.filter((c) => c.leg !== 'departure').map((c) => ({ of: 'checkpoint', checkpoint: c.key }))),
  ];
  await photos(direct, back, inspection, subjects.slice(0, pictures));
  return { inspection, hire };
}
