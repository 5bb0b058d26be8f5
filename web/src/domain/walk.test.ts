import { describe, expect, it } from 'vitest';
import type { InspectionView, Template } from '../api/types';
import { apply, topicOpen, type Deed } from './deeds';
import { dueTopics, nextTopic } from './briefing';
import { isLeft, mayTakeOver, neighbour, nextLeft, stepsOf, stepState, summarise, viewpointPhoto } from './walk';

const text = (en: string) => ({ en });
const template: Template = {
  id: 't',
  layout: 'oak',
  version: 1,
  title: text('Oak'),
  equipment: [],
  panels: [],
  stops: [
    {
      key: 'side',
      title: text('Side'),
      guidance: text('Look'),
      viewpoints: [{ key: 'side_photo', title: text('Side'), guidance: text('Stand back') }],
      checkpoints: [
        { key: 'inlet', system: 'mains', title: text('Inlet'), guidance: text('Lift'), ask: { kind: 'condition' } },
        { key: 'odometer', system: 'odometer', title: text('Odometer'), guidance: text('Read'), ask: { kind: 'odometer' }, photo: 'required' },
        { key: 'only_return', system: 'x', title: text('R'), guidance: text('R'), ask: { kind: 'condition' }, leg: 'return' },
      ],
    },
    { key: 'kit', title: text('Kit'), guidance: text('Count'), inventory: [{ key: 'chairs', title: text('Chairs'), pieces: 4 }] },
  ],
  briefings: [
    { key: 'gas_use', title: text('Gas'), body: [], due: { when: 'always' } },
    { key: 'size', title: text('Size'), body: [], due: { when: 'always' } },
  ],
};

const empty: InspectionView = {
  id: 'i', hire: 'h', vehicle: 'v', leg: 'departure', status: 'open', template: 't', template_version: 1, conflicts: [], seal: null, addenda: [], started_at: '2026-05-01T08:00:00Z', started_by: 's',
  clocks: null, handed_over_at: null, entries: [], photos: [], marks: [], sightings: [], briefings: [], signatures: [], hirer_absent: null,
  signed_at: null, open_points: [], version: 1,
  due_topics: [{ topic: 'gas_use', critical: true, missed: 'not_acknowledged' }, { topic: 'size', critical: false, missed: 'not_acknowledged' }],
};

const photo = (id: string, subject: Extract<Deed, { kind: 'photo' }>['subject']): Deed => ({ kind: 'photo', id, subject, taken_at: '2026-05-01T08:01:00Z', sha256: 'ab', content_type: 'image/jpeg', width: 4, height: 3, bytes: 1 });
const answer = (id: string, checkpoint: string, a: Extract<Deed, { kind: 'entry' }>['input']['answer']): Deed => ({ kind: 'entry', id, input: { checkpoint, answer: a } });

describe('steps', () => {
  it('come in walking order: photographs, questions, kit', () => {
    expect(stepsOf(template, 'departure').map((s) => s.key)).toEqual(['side_photo', 'inlet', 'odometer', 'chairs']);
    expect(stepsOf(template, 'return').map((s) => s.key)).toEqual(['side_photo', 'inlet', 'odometer', 'only_return', 'chairs']);
  });

  it('are left until answered, and until the wanted photograph is there', () => {
    const steps = stepsOf(template, 'departure');
    const step = (key: string) => steps.find((s) => s.key === key) ?? expect.fail(key);
    let view = apply(empty, answer('e1', 'odometer', { kind: 'odometer', value: '10', unit: 'km' }));
    expect(stepState(step('odometer'), view)).toBe('missing_photo');
    expect(isLeft('missing_photo')).toBe(true);
    view = apply(view, photo('p1', { of: 'checkpoint', checkpoint: 'odometer' }));
    expect(stepState(step('odometer'), view)).toBe('done');
    view = apply(view, answer('e2', 'inlet', { kind: 'condition', state: 'missing' }));
    expect(stepState(step('inlet'), view)).toBe('attention');
    view = apply(view, answer('e3', 'chairs', { kind: 'count', pieces: 3 }));
    expect(stepState(step('chairs'), view)).toBe('attention');
    expect(summarise(template, 'departure', view).map((s) => s.left)).toEqual([1, 0]);
  });

  it('go on to the next one left, round to the start, and end when none is', () => {
    const steps = stepsOf(template, 'departure');
    let view = apply(empty, answer('e', 'odometer', { kind: 'odometer', value: '10', unit: 'km' }));
    view = apply(view, photo('p', { of: 'checkpoint', checkpoint: 'odometer' }));
    expect(nextLeft(steps, view, 'inlet')?.key).toBe('chairs');
    expect(nextLeft(steps, view, 'chairs')?.key).toBe('side_photo');
    view = apply(view, photo('p2', { of: 'viewpoint', viewpoint: 'side_photo' }));
    view = apply(view, answer('e2', 'inlet', { kind: 'condition', state: 'in_order' }));
    expect(nextLeft(steps, view, 'inlet')?.key).toBe('chairs');
    view = apply(view, answer('e3', 'chairs', { kind: 'count', pieces: 4 }));
    expect(nextLeft(steps, view, null)).toBeNull();
    expect(neighbour(steps, 'inlet', -1)?.key).toBe('side_photo');
    expect(neighbour(steps, 'chairs', 1)).toBeNull();
  });

  it('let chosen answers be taken over from departure, never readings', () => {
    const entry = (a: Extract<Deed, { kind: 'entry' }>['input']['answer']) => ({ id: 'e', checkpoint: 'c', answer: a, recorded_at: '' });
    expect(mayTakeOver(entry({ kind: 'condition', state: 'in_order' }))).toBe(true);
    expect(mayTakeOver(entry({ kind: 'count', pieces: 4 }))).toBe(true);
    expect(mayTakeOver(entry({ kind: 'odometer', value: '10', unit: 'km' }))).toBe(false);
    expect(mayTakeOver(entry({ kind: 'fuel', level: { gauge: { part: 1, of: 8 } } }))).toBe(false);
  });
});

describe('deeds', () => {
  it('never change the view they are applied to', () => {
    const before = structuredClone(empty);
    apply(empty, answer('e', 'inlet', { kind: 'condition', state: 'in_order' }));
    apply(empty, { kind: 'handover', at: '2026-05-01T09:00:00Z' });
    expect(empty).toEqual(before);
  });

  it('done twice are done once', () => {
    const deeds: Deed[] = [
      answer('e', 'inlet', { kind: 'condition', state: 'in_order' }),
      photo('p', { of: 'viewpoint', viewpoint: 'side_photo' }),
      { kind: 'mark', id: 'm', input: { panel: 'wall', kind: 'dent', size_mm: 20, depth: 'deformed', viewpoint: 'side_photo', x: '0.5', y: '0.5' } },
      { kind: 'sighting', mark: 'old', input: { size_mm: 12 } },
      { kind: 'briefing', topic: 'gas_use', input: { shown_at: '2026-05-01T08:02:00Z' } },
      { kind: 'signature', role: 'hirer', input: { name: 'Ada', strokes: [], signed_at: '2026-05-01T08:03:00Z' } },
      { kind: 'absence', reason: 'keys in the box', at: '2026-05-01T08:04:00Z' },
    ];
    for (const deed of deeds) {
      const once = apply(empty, deed);
      expect(once).not.toEqual(empty);
      expect(apply(once, deed)).toEqual(once);
    }
  });

  it('take out again what they put in', () => {
    const pairs: [Deed, Deed][] = [
      [answer('e', 'inlet', { kind: 'condition', state: 'in_order' }), { kind: 'entry_removed', id: 'e' }],
      [photo('p', { of: 'viewpoint', viewpoint: 'side_photo' }), { kind: 'photo_removed', id: 'p' }],
      [{ kind: 'sighting', mark: 'old', input: { size_mm: 12 } }, { kind: 'sighting_removed', mark: 'old' }],
    ];
    for (const [put, take] of pairs) expect(apply(apply(empty, put), take)).toEqual(empty);
  });

  it('keep both answers to one question; the retaken photograph counts', () => {
    let view = apply(empty, answer('e1', 'inlet', { kind: 'condition', state: 'in_order' }));
    view = apply(view, answer('e2', 'inlet', { kind: 'condition', state: 'missing' }));
    expect(view.entries.map((e) => e.id)).toEqual(['e1', 'e2']);
    view = apply(view, photo('p1', { of: 'viewpoint', viewpoint: 'side_photo' }));
    view = apply(view, photo('p2', { of: 'viewpoint', viewpoint: 'side_photo' }));
    expect(viewpointPhoto(view, 'side_photo')?.id).toBe('p2');
  });
});

describe('briefing', () => {
  it('goes through due topics until each is acknowledged or left out with a reason', () => {
    const topics = dueTopics(empty, template);
    expect(topics.map((t) => [t.topic.key, t.critical])).toEqual([['gas_use', true], ['size', false]]);
    let view = apply(empty, { kind: 'briefing', topic: 'gas_use', input: { shown_at: '2026-05-01T08:02:00Z' } });
    expect(topicOpen(view, 'gas_use')).toBe(true);
    view = apply(view, { kind: 'briefing', topic: 'gas_use', input: { shown_at: '2026-05-01T08:02:00Z', acknowledged_at: '2026-05-01T08:03:00Z' } });
    expect(view.briefings[0]?.shown_at).toBe('2026-05-01T08:02:00Z');
    expect(topicOpen(view, 'gas_use')).toBe(false);
    expect(nextTopic(topics, view, 'gas_use')?.topic.key).toBe('size');
    view = apply(view, { kind: 'briefing', topic: 'size', input: { override: { reason: 'ferry leaves' } } });
    expect(nextTopic(topics, view, null)).toBeNull();
  });
});
