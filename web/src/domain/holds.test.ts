import { describe, expect, it } from 'vitest';
import type { LedgerMovement, Line } from '../api/types';
import { byPayer, holdEnd, leftUntil } from './holds';
import { disputedLines, soundAndLeft } from './sound';

const gbp = (minor: number) => ({ minor, currency: 'GBP' as const });

function movement(more: Partial<LedgerMovement>): LedgerMovement {
  return { id: '1', kind: 'hold_placed', means: 'card', amount: gbp(100), at: '2026-04-01T10:00:00Z', by_name: 'Odile', ...more };
}

describe('when a hold lapses', () => {
  it('is the last word on each reference, and the earliest of those', () => {
    const movements = [
      movement({ reference: 'a', hold_ends_at: '2026-04-05T10:00:00Z' }),
      movement({ reference: 'b', hold_ends_at: '2026-04-08T10:00:00Z' }),
      movement({ kind: 'hold_extended', reference: 'a', hold_ends_at: '2026-04-20T10:00:00Z' }),
      movement({ means: 'cash', hold_ends_at: '2026-04-02T10:00:00Z' }),
    ];
    expect(holdEnd(movements)).toEqual({ at: '2026-04-08T10:00:00Z', reference: 'b' });
    expect(holdEnd([movement({ reference: 'a' })])).toBeNull();
  });

  it('is said in hours below two days, in days above, and as past', () => {
    const now = new Date('2026-04-01T10:00:00Z');
    expect(leftUntil('2026-04-01T10:20:00Z', now)).toEqual({ unit: 'hours', n: 1 });
    expect(leftUntil('2026-04-03T09:59:00Z', now)).toEqual({ unit: 'hours', n: 47 });
    expect(leftUntil('2026-04-03T10:00:00Z', now)).toEqual({ unit: 'days', n: 2 });
    expect(leftUntil('2026-04-01T10:00:00Z', now)).toEqual({ unit: 'past' });
  });
});

describe('several payers', () => {
  it('are told apart, and the lead driver is who is not named', () => {
    const movements = [
      movement({ amount: gbp(1000) }),
      movement({ kind: 'captured', amount: gbp(300) }),
      movement({ kind: 'released', amount: gbp(700) }),
      movement({ kind: 'paid', means: 'transfer', payer: 'Ines', amount: gbp(50) }),
      movement({ kind: 'written_off', means: 'none', amount: gbp(5) }),
    ];
    expect(byPayer(movements, 'Mara', 'GBP')).toEqual([
      { payer: 'Mara', held: gbp(0), received: gbp(300) },
      { payer: 'Ines', held: gbp(0), received: gbp(50) },
    ]);
    expect(byPayer(movements.slice(0, 3), 'Mara', 'GBP')).toEqual([]);
  });
});

describe('lines that may be accepted together', () => {
  const line = (key: string, more: Partial<Line>): Line =>
    ({ key, state: 'proposed', price: gbp(100), weak_points: [], weakened_by: [], if_charged: gbp(100), ...more }) as Line;

  it('have nothing that speaks against them', () => {
    const lines = [
      line('a', {}),
      line('b', { weak_points: ['no photograph'] }),
      line('c', { weakened_by: ['gas'] }),
      line('d', {}),
      line('e', { state: 'accepted' }),
      line('f', { state: 'held' }),
    ];
    const disputed = disputedLines([
      { line: 'd', outcome: null, after_settlement: false },
      { line: 'a', outcome: 'rejected', after_settlement: false },
      { line: 'a', outcome: null, after_settlement: true },
    ]);
    const { sound, left } = soundAndLeft(lines, disputed);
    expect(sound.map((l) => l.key)).toEqual(['a']);
    expect(left).toBe(4);
  });
});
