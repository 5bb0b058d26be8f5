import { describe, expect, it } from 'vitest';
import type { InspectionView } from '../api/types';
import { canonical, type Json } from './canonical';
import { apply, type Deed } from './deeds';
import { recordDocument, recordOf, shortHash } from './record';

interface Case {
  view: InspectionView;
  canonical: string;
  sha256: string;
}

// The same files the server is checked by.
const cases = import.meta.glob<Case>('../../../fixtures/seals/*.json', { eager: true, import: 'default' });

describe('the record of an inspection', () => {
  it('is there to be compared', () => {
    expect(Object.keys(cases).length).toBeGreaterThanOrEqual(3);
  });

  for (const [path, worked] of Object.entries(cases)) {
    it(`is, letter by letter, what the server reckons: ${path.split('/').at(-1) ?? ''}`, async () => {
      expect(canonical(recordDocument(worked.view))).toBe(worked.canonical);
      expect((await recordOf(worked.view)).sha256).toBe(worked.sha256);
    });
  }

  it('does not depend on the order in which things came, nor on how a decimal or a moment was written', async () => {
    const [first] = Object.values(cases).filter((c) => c.view.entries.length > 1);
    if (!first) throw new Error('no case with entries');
    const view = first.view;
    const shuffled = { ...view, entries: [...view.entries].reverse(), photos: [...view.photos].reverse(), marks: [...view.marks].reverse() };
    expect((await recordOf(shuffled)).sha256).toBe(first.sha256);
    const deed = (value: string, recorded_at: string): Deed => ({ kind: 'entry', id: 'e', input: { checkpoint: 'odometer', answer: { kind: 'odometer', value, unit: 'km' }, recorded_at } });
    const one = apply(view, deed('100.50', '2026-05-01T08:00:00Z'));
    const two = apply(view, deed('100.5', '2026-05-01T08:00:00.000Z'));
    expect((await recordOf(one)).sha256).toBe((await recordOf(two)).sha256);
    expect((await recordOf(one)).sha256).not.toBe(first.sha256);
  });

  it('changes with every single thing recorded', async () => {
    for (const { view, sha256 } of Object.values(cases)) {
      const changed: InspectionView[] = [
        { ...view, handed_over_at: '2030-01-01T00:00:00Z' },
        { ...view, hirer_absent: { reason: 'other', noted_at: '2030-01-01T00:00:00Z' } },
        ...view.entries.map((e, i) => ({ ...view, entries: view.entries.map((x, j) => (i === j ? { ...e, note: 'changed' } : x)) })),
        ...view.photos.map((p, i) => ({ ...view, photos: view.photos.map((x, j) => (i === j ? { ...p, sha256: '0'.repeat(64) } : x)) })),
      ];
      for (const other of changed) expect((await recordOf(other)).sha256).not.toBe(sha256);
      // What only the server knows is no part of it.
      const same = { ...view, version: view.version + 1, photos: view.photos.map((p) => ({ ...p, arrived: !p.arrived, received_at: '2030-01-01T00:00:00Z' })) };
      expect((await recordOf(same)).sha256).toBe(sha256);
    }
  });

  it('is shown short, in groups', () => {
    expect(shortHash('0123456789abcdef0000')).toBe('0123 4567 89ab cdef');
    expect(canonical({} as Json)).toBe('{}');
  });
});
