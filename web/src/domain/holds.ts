// When card holds lapse, how long that is from now, and who paid.
import type { LedgerMovement, Money } from '../api/types';
import { plus, zero } from './money';

/** Each reference's last word on its end, the earliest of them; none while no end is known. As the server has it. */
export function holdEnd(movements: readonly Pick<LedgerMovement, 'means' | 'reference' | 'hold_ends_at'>[]): { at: string; reference: string | null } | null {
  const ends = new Map<string | null, string>();
  for (const m of movements) if (m.means === 'card' && m.hold_ends_at != null) ends.set(m.reference ?? null, m.hold_ends_at);
  let first: { at: string; reference: string | null } | null = null;
  for (const [reference, at] of ends) if (first === null || Date.parse(at) < Date.parse(first.at)) first = { at, reference };
  return first;
}

export type Left = { unit: 'past' } | { unit: 'hours' | 'days'; n: number };

/** How long until then: in hours below two days, else in whole days. */
export function leftUntil(at: string, now: Date): Left {
  const hours = (Date.parse(at) - now.getTime()) / 3_600_000;
  if (hours <= 0) return { unit: 'past' };
  return hours < 48 ? { unit: 'hours', n: Math.max(1, Math.floor(hours)) } : { unit: 'days', n: Math.floor(hours / 24) };
}

export interface ByPayer {
  payer: string;
  held: Money;
  received: Money;
}

/** What each payer has held and paid, where there is more than one. Who is not named is the lead driver. */
export function byPayer(movements: readonly LedgerMovement[], leadDriver: string, currency: Money['currency']): ByPayer[] {
  const all = new Map<string, ByPayer>();
  for (const m of movements) {
    if (m.means === 'none') continue;
    const payer = m.payer ?? leadDriver;
    const sums = all.get(payer) ?? { payer, held: zero(currency), received: zero(currency) };
    const add = (to: 'held' | 'received', sign: 1 | -1) => (sums[to] = plus(sums[to], { minor: sign * m.amount.minor, currency }));
    if (m.kind === 'hold_placed' || m.kind === 'hold_extended') add('held', 1);
    if (m.kind === 'captured' || m.kind === 'released' || m.kind === 'refunded') add('held', -1);
    if (m.kind === 'captured' || m.kind === 'paid') add('received', 1);
    if (m.kind === 'repaid' || m.kind === 'charged_back') add('received', -1);
    all.set(payer, sums);
  }
  return all.size > 1 ? [...all.values()] : [];
}
