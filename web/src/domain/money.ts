// Money is whole minor units of one currency. Reading and showing go through text, never through a float.
import type { Money } from '../api/types';
import { decimalSign } from './decimal';

/** Decimal places of the minor unit where they are not two (ISO 4217). */
const EXPONENTS: Readonly<Record<string, number>> = { JPY: 0, ISK: 0, KWD: 3 };

export function exponent(currency: string): number {
  return EXPONENTS[currency] ?? 2;
}

export type MoneyFault = 'empty' | 'not_a_number' | 'too_many_places' | 'too_large' | 'negative' | 'ambiguous';
export type MoneyResult = { ok: true; minor: number } | { ok: false; fault: MoneyFault };

/**
 * Reads a typed amount. Comma or point may be the decimal sign, the other one and spaces may group thousands
 * (`1,250.00`, `1.250,00`, `1 250`). With one sign before three digits the language decides: in English `1,250` is
 * twelve hundred and fifty and `1.250` is refused, in German the other way round.
 */
export function parseMoney(typed: string, currency: string, lang: string): MoneyResult {
  const places = exponent(currency);
  const text = typed.replace(/[\s\u00a0\u2009\u202f']/gu, '');
  if (text === '') return { ok: false, fault: 'empty' };
  if (text.startsWith('-') || text.startsWith('\u2212')) return { ok: false, fault: 'negative' };
  const grouped = /^(\d{1,3})(?:([.,])\d{3})(?:\2\d{3})*(?:([.,])(\d+))?$/u.exec(text);
  let whole: string;
  let fraction: string;
  const groupedOnly = grouped !== null && grouped[3] === undefined;
  if (groupedOnly && grouped[2] === decimalSign(lang) && places !== 3) {
    // Several groups cannot be a fraction, so only one is in doubt.
    const groups = text.split(grouped[2] ?? '').length - 1;
    if (groups === 1) return { ok: false, fault: 'ambiguous' };
  }
  if (grouped && grouped[2] !== grouped[3] && (!groupedOnly || places !== 3)) {
    const cut = grouped[3] === undefined ? text.length : text.lastIndexOf(grouped[3]);
    whole = text.slice(0, cut).replace(/[.,]/gu, '');
    fraction = grouped[4] ?? '';
  } else {
    const plain = /^(\d*)(?:[.,](\d*))?$/u.exec(text);
    if (!plain || (plain[1] === '' && (plain[2] ?? '') === '')) return { ok: false, fault: 'not_a_number' };
    whole = plain[1] === '' ? '0' : (plain[1] ?? '0');
    fraction = plain[2] ?? '';
  }
  if (fraction.length > places) return { ok: false, fault: 'too_many_places' };
  const minor = BigInt(`${whole}${fraction.padEnd(places, '0')}`);
  if (minor > BigInt(Number.MAX_SAFE_INTEGER)) return { ok: false, fault: 'too_large' };
  return { ok: true, minor: Number(minor) };
}

/** The amount as a plain decimal, such as `412.50`. */
export function moneyText(money: Money): string {
  const places = exponent(money.currency);
  const negative = money.minor < 0;
  const digits = Math.abs(money.minor).toString().padStart(places + 1, '0');
  const cut = digits.length - places;
  return `${negative ? '-' : ''}${digits.slice(0, cut)}${places === 0 ? '' : `.${digits.slice(cut)}`}`;
}

/** The amount with its currency, in the manner of a language. */
export function showMoney(money: Money, lang: string): string {
  return new Intl.NumberFormat(lang, { style: 'currency', currency: money.currency }).format(
    moneyText(money) as Intl.StringNumericLiteral,
  );
}

/** The amount as it would be typed into a field, such as `412,50` in German. */
export function typedMoney(money: Money, lang: string): string {
  return moneyText(money).replace('.', decimalSign(lang));
}

export function zero(currency: Money['currency']): Money {
  return { minor: 0, currency };
}

function same(a: Money, b: Money): void {
  if (a.currency !== b.currency) throw new Error(`two currencies met: ${a.currency} and ${b.currency}`);
}

export function plus(a: Money, b: Money): Money {
  same(a, b);
  return { minor: a.minor + b.minor, currency: a.currency };
}

export function minus(a: Money, b: Money): Money {
  same(a, b);
  return { minor: a.minor - b.minor, currency: a.currency };
}

export function lesser(a: Money, b: Money): Money {
  same(a, b);
  return a.minor <= b.minor ? a : b;
}
