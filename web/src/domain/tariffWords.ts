// A tariff in sentences, one list for each rule.
import type { Price, Tariff, Tax } from '../api/types';
import type { Words } from '../i18n/en';
import { humane } from './answerWords';
import { showDecimal } from './decimal';
import { kindWord } from './markWords';
import { showMoney } from './money';

/** A share of one as per cent, without the noise of doubles. */
function share(part: string, lang: string): string {
  return `${showDecimal(String(Math.round(Number(part) * 10_000) / 100), lang)} %`;
}

export interface RuleWords {
  rule: keyof Words['fleet']['rules'];
  sentences: string[];
  tax: string | null;
}

function taxWords(tax: Tax, t: Words, lang: string): string {
  return tax.treatment === 'standard' ? t.bench.tax.standard(showDecimal(tax.rate, lang)) : t.bench.tax[tax.treatment];
}

/** Items are called as the templates call them; one that none of them knows by its readable key. */
export function tariffWords(tariff: Tariff, t: Words, lang: string, titleOf: (item: string) => string = humane): RuleWords[] {
  const f = t.fleet;
  const m = (money: { minor: number; currency: Tariff['currency'] }) => showMoney(money, lang);
  const price = (p: Price) => (p === 'estimate' ? f.byEstimate : m(p.flat));
  const words = (rule: RuleWords['rule'], tax: Tax | undefined, sentences: string[]): RuleWords => ({
    rule,
    sentences: tax === undefined ? [f.notCharged] : sentences,
    tax: tax === undefined ? null : taxWords(tax, t, lang),
  });
  const { distance, lateness, fuel, lpg, cassette, waste_water, inventory, damage, repair } = tariff;
  const unit = distance ? t.answer[distance.unit] : '';
  const band = (key: string) => {
    const found = damage?.size_bands.find((b) => b.key === key);
    return found?.up_to_mm == null ? f.beyond : f.upTo(found.up_to_mm);
  };
  return [
    words('distance', distance?.tax, distance ? [distance.allowance_per_day == null ? f.unlimited : f.allowance(showDecimal(distance.allowance_per_day, lang), unit), f.perUnit[distance.unit](m(distance.rate))] : []),
    words('lateness', lateness?.tax, lateness ? [f.grace(lateness.grace_minutes), f.hourly(m(lateness.hourly)), f.daily(m(lateness.daily))] : []),
    words('fuel', fuel?.tax, fuel ? [f.litre(m(fuel.per_litre)), f.refuelling(m(fuel.refuelling_fee))] : []),
    words(
      'lpg',
      lpg?.tax,
      lpg ? [lpg.charge.by === 'included' ? f.gasIncluded : lpg.charge.by === 'per_kilogram' ? f.gasPerKg(m(lpg.charge.price)) : f.gasRefill(showDecimal(lpg.charge.share, lang), m(lpg.charge.price))] : [],
    ),
    words('cassette', cassette?.tax, cassette ? [f.fee(m(cassette.fee))] : []),
    words('waste_water', waste_water?.tax, waste_water ? [f.fee(m(waste_water.fee))] : []),
    words(
      'cleanliness',
      tariff.cleanliness?.[0]?.tax,
      (tariff.cleanliness ?? []).map((c) => `${f[c.area]}: ${c.grades.map((g) => g.title[lang] ?? g.title['en'] ?? g.key).join(' → ')}; ${f.perStep(m(c.fee_per_step))}`),
    ),
    words('inventory', inventory?.tax, (inventory?.items ?? []).map((i) => `${titleOf(i.item)}: ${m(i.price)}; ${f.lifetime(i.service_life_months, share(i.floor, lang))}`)),
    words('damage', damage?.tax, [
      ...(damage?.fair_wear ?? []).map((w) => f.wear(kindWord(w.kind, t), w.up_to_mm)),
      ...(damage?.prices ?? []).map((p) => `${f.groups[p.group] ?? humane(p.group)}, ${kindWord(p.kind, t)}, ${band(p.band)}: ${price(p.price)}`),
      ...(damage?.refinish ?? []).map((r) => f.refinish(f.groups[r.group] ?? humane(r.group), m(r.price))),
    ]),
    words('repair', repair?.tax, (repair?.items ?? []).map((i) => `${titleOf(i.checkpoint)}: ${price(i.price)}`)),
  ];
}
