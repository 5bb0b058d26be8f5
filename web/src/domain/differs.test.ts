import { describe, expect, it } from 'vitest';
import { differences } from './differs';

const entry = (id: string, state: string) => ({ id, checkpoint: 'horn', answer: { kind: 'condition', state } });

describe('two records side by side', () => {
  it('finds nothing between a record and itself, whatever the order of its members', () => {
    expect(differences({ leg: 'return', entries: [entry('a', 'in_order')] }, { entries: [entry('a', 'in_order')], leg: 'return' })).toEqual([]);
  });

  it('names what one side alone has, and what both have differently', () => {
    const device = { leg: 'return', entries: [entry('a', 'in_order'), entry('b', 'missing')], handed_over_at: '2026-01-01T10:00:00.000Z' };
    const server = { leg: 'return', entries: [entry('a', 'needs_attention')], handed_over_at: null };
    expect(differences(device, server)).toEqual([
      { part: 'entries', key: 'a', device: entry('a', 'in_order'), server: entry('a', 'needs_attention') },
      { part: 'entries', key: 'b', device: entry('b', 'missing'), server: null },
      { part: 'handed_over_at', key: '', device: '2026-01-01T10:00:00.000Z', server: null },
    ]);
  });

  it('tells topics and known marks by their own names', () => {
    const device = { briefings: [{ topic: 'gas', shown_at: null }], sightings: [{ mark: 'm', size_mm: 30 }] };
    const server = { briefings: [{ topic: 'gas', shown_at: '2026-01-01T10:00:00.000Z' }], sightings: [] };
    expect(differences(device, server).map((d) => [d.part, d.key])).toEqual([
      ['briefings', 'gas'],
      ['sightings', 'm'],
    ]);
  });
});
