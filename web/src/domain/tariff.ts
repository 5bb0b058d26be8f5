// What a tariff says about marks.
import type { Tariff } from '../api/types';

/** Kinds of damage people tell apart everywhere; a tariff may know further ones. */
const COMMON = ['scratch', 'dent', 'crack', 'hole', 'tear', 'burn', 'stain', 'bent', 'missing'];

/** Every kind of damage the tariff prices, with the common ones. */
export function markKinds(tariff: Tariff): string[] {
  const priced = (tariff.damage?.prices ?? []).map((p) => p.kind);
  const wear = (tariff.damage?.fair_wear ?? []).map((w) => w.kind);
  return [...new Set([...priced, ...wear, ...COMMON])];
}
