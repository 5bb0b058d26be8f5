import { describe, expect, it } from 'vitest';
import type { Entry, InspectionView, Template } from '../api/types';
import { closure, conflicts, seenBy, standing } from './conflicts';
import { dueAtDeparture, holds, monthsTouched, type DueBy } from './due';
import type { Deed } from './deeds';
import { openPoints, refusedPoints } from './gate';

const text = (en: string) => ({ en });
const template = {
  id: 't',
  stops: [
    {
      key: 'cab',
      title: text('Cab'),
      guidance: text(''),
      viewpoints: [{ key: 'front', title: text('Front'), guidance: text('') }],
      checkpoints: [
        { key: 'horn', system: 's', title: text('Horn'), guidance: text(''), ask: { kind: 'condition' } },
        { key: 'fuel', system: 's', title: text('Fuel'), guidance: text(''), ask: { kind: 'fuel' }, photo: 'required', leg: 'departure' },
      ],
      inventory: [{ key: 'jack', title: text('Jack'), pieces: 1 }],
    },
  ],
  briefings: [
    { key: 'gas', title: text('Gas'), body: [], critical: true, due: { when: 'equipment', key: 'gas' } },
    { key: 'snow', title: text('Snow'), body: [], due: { when: 'any', of: [{ when: 'trip', key: 'alpine' }, { when: 'months', months: [1] }] } },
  ],
} as unknown as Template;
const hire: DueBy = { agreed_departure: '2026-11-30T23:30:00Z', due_back: '2026-12-05T10:00:00Z', zone: 'Europe/London', trips: [], new_to_layout: false, pets: true, trailer: false };

const view = (more: Partial<InspectionView> = {}): InspectionView =>
  ({
    id: 'i',
    leg: 'departure',
    status: 'open',
    started_at: '2026-05-01T08:00:00Z',
    handed_over_at: null,
    entries: [],
    photos: [],
    marks: [],
    sightings: [],
    briefings: [],
    due_topics: [{ topic: 'gas', critical: true, missed: 'not_acknowledged' }],
    signatures: [],
    hirer_absent: null,
    ...more,
  }) as unknown as InspectionView;
const entry = (id: string, checkpoint: string, replaces: string[] = []): Entry =>
  ({ id, checkpoint, answer: { kind: 'condition', state: 'in_order' }, recorded_at: '2026-05-01T08:00:00Z', replaces }) as unknown as Entry;
const kinds = (v: InspectionView) => openPoints(v, template, conflicts(v)).map((p) => `${p.kind}:${p.key}${p.blocks ? '!' : ''}`);

describe('open points', () => {
  it('are everything not done, with what blocks marked', () => {
    expect(kinds(view())).toEqual([
      'handed_over:handed_over_at',
      'viewpoint:front',
      'checkpoint:horn',
      'checkpoint:fuel',
      'item:jack',
      'briefing:gas!',
      'signature:hirer!',
      'signature:staff!',
    ]);
  });

  it('name a photograph that is wanted, an unsettled conflict, and a topic acknowledged before it was shown', () => {
    const v = view({
      handed_over_at: '2026-05-01T09:00:00Z',
      entries: [entry('a', 'fuel'), entry('b', 'horn'), entry('c', 'horn'), entry('d', 'jack')],
      briefings: [{ topic: 'gas', shown_at: '2026-05-01T09:00:00Z', acknowledged_at: '2026-05-01T08:59:00Z' }],
    });
    expect(kinds(v)).toEqual(['conflict:horn!', 'viewpoint:front', 'photo:fuel', 'briefing:gas!', 'signature:hirer!', 'signature:staff!']);
    const overridden = view({ briefings: [{ topic: 'gas', overridden: { reason: 'knows it', at: '2026-05-01T09:00:00Z' } }] });
    expect(kinds(overridden)).not.toContain('briefing:gas!');
  });

  it('of a return need the time it came back, and no hirer who is absent', () => {
    const v = view({ leg: 'return', hirer_absent: { reason: 'drop box', noted_at: '2026-05-01T09:00:00Z' } });
    expect(kinds(v)).toEqual(['handed_over:handed_over_at!', 'viewpoint:front', 'checkpoint:horn', 'item:jack', 'signature:staff!']);
  });
});

describe('refused records', () => {
  const at = '2026-05-01T08:00:00Z';
  const places = (deeds: Deed[]) =>
    refusedPoints('i', deeds.map((deed, n) => ({ id: String(n), deed })), (mark) => (mark === 'm' ? 'front' : undefined)).map((r) => `${r.kind}:${r.key} ${r.place}`);

  it('lead to where they are put right', () => {
    expect(
      places([
        { kind: 'entry', id: 'e', input: { checkpoint: 'horn', answer: { kind: 'condition', state: 'missing' } } },
        { kind: 'sighting', mark: 'm', input: { size_mm: 30 } },
        { kind: 'mark_removed', id: 'm' },
        { kind: 'briefing', topic: 'gas', input: {} },
      ]),
    ).toEqual(['entry:horn /inspections/i/steps/horn', 'sighting:front /inspections/i/marks/front', 'mark_removed:front /inspections/i/marks/front', 'briefing:gas /inspections/i/briefing?topic=gas']);
  });

  it('lead nowhere where only this screen is left, and leave out the signing itself', () => {
    expect(places([{ kind: 'handover', at }, { kind: 'photo_removed', id: 'p' }, { kind: 'sign', device_time: at, record_sha256: '', record: {} }])).toEqual([
      'handover:null null',
      'photo_removed:null null',
    ]);
  });
});

describe('topics due', () => {
  it('follow equipment, trip, months of the depot’s calendar, and what the hire says', () => {
    expect(dueAtDeparture(template, { equipment: ['gas'] }, hire).map((d) => [d.topic, d.critical])).toEqual([['gas', true]]);
    expect(dueAtDeparture(template, { equipment: [] }, { ...hire, trips: ['alpine'] }).map((d) => d.topic)).toEqual(['snow']);
    expect(dueAtDeparture(template, { equipment: [] }, { ...hire, due_back: '2027-01-01T10:00:00Z' }).map((d) => d.topic)).toEqual(['snow']);
    expect(holds({ when: 'pets' }, [], hire)).toBe(true);
    expect(holds({ when: 'trailer' }, [], hire)).toBe(false);
    expect(holds({ when: 'all', of: [{ when: 'pets' }, { when: 'trailer' }] } as never, [], hire)).toBe(false);
  });

  it('touch the months between departure and return, where the depot is', () => {
    expect(monthsTouched('Europe/London', hire.agreed_departure, hire.due_back)).toEqual([11, 12]);
    // Half past midnight in Berlin already.
    expect(monthsTouched('Europe/Berlin', hire.agreed_departure, hire.due_back)).toEqual([12]);
    expect(monthsTouched('UTC', '2026-03-01T00:00:00Z', '2028-03-01T00:00:00Z')).toHaveLength(12);
  });
});

describe('two answers', () => {
  it('stand side by side until one replaces both', () => {
    const one = [entry('a', 'horn'), entry('b', 'horn', ['a'])];
    expect(conflicts({ entries: one })).toEqual([]);
    const two = [...one, entry('c', 'horn', ['a'])];
    expect(standing({ entries: two }, 'horn').map((e) => e.id)).toEqual(['b', 'c']);
    expect(conflicts({ entries: two })).toEqual(['horn']);
    const seen = seenBy({ entries: two }, 'horn');
    expect(closure(two, 'horn', seen)).toEqual(['a', 'b', 'c']);
    expect(conflicts({ entries: [...two, entry('d', 'horn', closure(two, 'horn', seen))] })).toEqual([]);
  });

  it('replace what the replaced had replaced, and nothing of other questions', () => {
    const known = [entry('b', 'horn', ['a']), entry('x', 'fuel')];
    expect(closure(known, 'horn', ['b', 'x', 'gone'])).toEqual(['a', 'b']);
  });
});
