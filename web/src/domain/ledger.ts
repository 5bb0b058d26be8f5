// What the office would do next with a deposit: an offer to start from, never done by itself.
import type { Ledger, LedgerMovement, Means, Money, MovementKind } from '../api/types';
import { lesser, minus, plus, zero } from './money';

export type NextStep =
  | { do: 'move'; kind: MovementKind; means: Means; amount: Money }
  /** Nothing owed, nothing held. */
  | { do: 'close' };

/** What is held, apart by how it was taken: a card hold is released, cash and transfers are paid back. */
export function heldBy(movements: readonly LedgerMovement[], currency: Money['currency']): Record<'card' | 'cash' | 'transfer', Money> {
  const held = { card: zero(currency), cash: zero(currency), transfer: zero(currency) };
  for (const m of movements) {
    if (m.means === 'none') continue;
    if (m.kind === 'hold_placed' || m.kind === 'hold_extended') held[m.means] = plus(held[m.means], m.amount);
    if (m.kind === 'captured' || m.kind === 'released' || m.kind === 'refunded') held[m.means] = minus(held[m.means], m.amount);
  }
  return held;
}

/** Before departure: the agreed deposit, as far as it has not been taken yet. */
export function depositLeft(ledger: Ledger): Money {
  const taken = ledger.balances.held;
  const left = minus(ledger.agreed_deposit, taken);
  return left.minor > 0 ? left : zero(left.currency);
}

export function nextStep(ledger: Ledger): NextStep {
  const currency = ledger.owed.currency;
  const held = heldBy(ledger.movements, currency);
  const means = (['card', 'cash', 'transfer'] as const).find((m) => held[m].minor > 0);
  if (ledger.outstanding.minor > 0) {
    return means
      ? { do: 'move', kind: 'captured', means, amount: lesser(ledger.outstanding, held[means]) }
      : { do: 'move', kind: 'paid', means: 'card', amount: ledger.outstanding };
  }
  if (means) return { do: 'move', kind: means === 'card' ? 'released' : 'refunded', means, amount: held[means] };
  if (ledger.outstanding.minor < 0) {
    const back = ledger.movements.findLast((m) => m.kind === 'captured' || m.kind === 'paid')?.means ?? 'transfer';
    return { do: 'move', kind: 'repaid', means: back, amount: minus(zero(currency), ledger.outstanding) };
  }
  return { do: 'close' };
}

/** The means that fit a kind of movement, as the ledger's rules have it. */
export function meansFor(kind: MovementKind): Means[] {
  switch (kind) {
    case 'released':
    case 'hold_extended':
    case 'charged_back':
      return ['card'];
    case 'refunded':
      return ['cash', 'transfer'];
    case 'written_off':
      return ['none'];
    case 'hold_placed':
    case 'captured':
    case 'paid':
    case 'repaid':
      return ['card', 'cash', 'transfer'];
  }
}
