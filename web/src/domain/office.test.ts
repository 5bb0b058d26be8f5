import { describe, expect, it } from 'vitest';
import type { Ledger, LedgerMovement, Line, Means, MovementKind } from '../api/types';
import { depositLeft, heldBy, meansFor, nextStep } from './ledger';
import { canAccept, isOpen, needsReason, nextOpen } from './lines';

const gbp = (minor: number) => ({ minor, currency: 'GBP' as const });

function movement(kind: MovementKind, means: Means, minor: number): LedgerMovement {
  return { id: `${kind}${minor}`, kind, means, amount: gbp(minor), at: '2026-05-01T08:00:00Z', by_name: 'Ada' };
}

function ledger(owed: number, movements: LedgerMovement[]): Ledger {
  let [hirer, held, received, off] = [0, 0, 0, 0];
  for (const { kind, amount } of movements) {
    const m = amount.minor;
    if (kind === 'hold_placed' || kind === 'hold_extended') [held, hirer] = [held + m, hirer - m];
    if (kind === 'captured') [received, held] = [received + m, held - m];
    if (kind === 'released' || kind === 'refunded') [hirer, held] = [hirer + m, held - m];
    if (kind === 'paid') [received, hirer] = [received + m, hirer - m];
    if (kind === 'repaid' || kind === 'charged_back') [hirer, received] = [hirer + m, received - m];
    if (kind === 'written_off') [off, hirer] = [off + m, hirer - m];
  }
  return {
    movements,
    balances: { hirer: gbp(hirer), held: gbp(held), received: gbp(received), written_off: gbp(off) },
    owed: gbp(owed),
    outstanding: gbp(owed - received - off),
    agreed_deposit: gbp(150_000),
  };
}

describe('the next step with a deposit', () => {
  it('captures what is owed, releases the rest, then closes', () => {
    const hold = movement('hold_placed', 'card', 150_000);
    expect(nextStep(ledger(41_250, [hold]))).toEqual({ do: 'move', kind: 'captured', means: 'card', amount: gbp(41_250) });
    const captured = [hold, movement('captured', 'card', 41_250)];
    expect(nextStep(ledger(41_250, captured))).toEqual({ do: 'move', kind: 'released', means: 'card', amount: gbp(108_750) });
    expect(nextStep(ledger(41_250, [...captured, movement('released', 'card', 108_750)]))).toEqual({ do: 'close' });
  });

  it('captures no more than is held and asks the hirer to pay the rest', () => {
    const hold = movement('hold_placed', 'card', 50_000);
    expect(nextStep(ledger(80_000, [hold]))).toMatchObject({ kind: 'captured', amount: gbp(50_000) });
    expect(nextStep(ledger(80_000, [hold, movement('captured', 'card', 50_000)]))).toMatchObject({ kind: 'paid', amount: gbp(30_000) });
  });

  it('pays back cash instead of releasing it', () => {
    expect(nextStep(ledger(0, [movement('hold_placed', 'cash', 20_000)]))).toEqual({ do: 'move', kind: 'refunded', means: 'cash', amount: gbp(20_000) });
  });

  it('repays what was taken beyond what is owed', () => {
    const taken = [movement('hold_placed', 'card', 50_000), movement('captured', 'card', 50_000)];
    expect(nextStep(ledger(30_000, taken))).toEqual({ do: 'move', kind: 'repaid', means: 'card', amount: gbp(20_000) });
  });

  it('reaches a close from anywhere by taking each step it offers', () => {
    for (const owed of [0, 1, 49_999, 50_000, 50_001, 200_000]) {
      for (const first of [[], [movement('hold_placed', 'card', 50_000)], [movement('hold_placed', 'cash', 30_000), movement('hold_placed', 'card', 20_000)]]) {
        let movements: LedgerMovement[] = first;
        let steps = 0;
        for (let step = nextStep(ledger(owed, movements)); step.do === 'move'; step = nextStep(ledger(owed, movements))) {
          expect(meansFor(step.kind)).toContain(step.means);
          expect(step.amount.minor).toBeGreaterThan(0);
          movements = [...movements, movement(step.kind, step.means, step.amount.minor)];
          steps += 1;
          expect(steps).toBeLessThan(8);
        }
      }
    }
  });

  it('knows what of the agreed deposit is still to be taken', () => {
    expect(depositLeft(ledger(0, [])).minor).toBe(150_000);
    expect(depositLeft(ledger(0, [movement('hold_placed', 'card', 150_000)])).minor).toBe(0);
    expect(heldBy([movement('hold_placed', 'card', 5), movement('hold_placed', 'cash', 3), movement('refunded', 'cash', 1)], 'GBP')).toMatchObject({
      card: gbp(5),
      cash: gbp(2),
    });
  });
});

const line = (over: Partial<Line>): Line => ({
  key: 'fuel', rule: 'fuel', title: 'Fuel', state: 'proposed', price: gbp(100), amount: gbp(0), if_charged: gbp(100), parts: [], tax: { treatment: 'zero' }, estimated: false,
  outside_excess: false, because: [], evidence: [], weak_points: [], weakened_by: [], ...over,
});

describe('deciding', () => {
  it('needs words for everything but accepting what is sound', () => {
    expect(needsReason(line({}), 'accept')).toBe(false);
    expect(needsReason(line({}), 'waive')).toBe(true);
    expect(needsReason(line({ state: 'held_for_review', weakened_by: ['hob_oven'] }), 'accept')).toBe(true);
  });

  it('cannot accept what nobody has estimated', () => {
    expect(canAccept(line({ state: 'estimate_open', price: null }))).toBe(false);
    expect(canAccept(line({}))).toBe(true);
  });

  it('goes to the next line that waits, round to the start', () => {
    const lines = [line({ state: 'proposed' }), line({ state: 'accepted' }), line({ state: 'held' })];
    expect(lines.map(isOpen)).toEqual([true, false, true]);
    expect(nextOpen(lines, 0)).toBe(2);
    expect(nextOpen(lines, 2)).toBe(0);
    expect(nextOpen([line({ state: 'waived' })], 0)).toBe(0);
  });
});
