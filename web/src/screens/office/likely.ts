// What money at the bank can be in a hire's ledger, and which of it is likeliest.
import type { Hire, Money, MovementKind } from '../../api/types';

export function kindsOf(amount: Money): readonly MovementKind[] {
  return amount.minor > 0 ? ['hold_placed', 'paid'] : ['refunded', 'repaid'];
}

/** Before the return money is a deposit, later it pays a balance; a settled hire's deposit is no longer there to be paid back. */
export function likely(status: Hire['status'], amount: Money): MovementKind {
  if (amount.minor > 0) return status === 'booked' || status === 'out' ? 'hold_placed' : 'paid';
  return status === 'settled' ? 'repaid' : 'refunded';
}
