// Exact decimals as text. Readings and money never pass through a binary float: a float is not the number
// somebody read off a scale.

export type DecimalFault = 'empty' | 'not_a_number' | 'too_many_places' | 'too_large' | 'negative' | 'ambiguous';
export type DecimalResult = { ok: true; value: string } | { ok: false; fault: DecimalFault };

/** Places the server reads. */
const MOST_PLACES = 6;
const LIMIT = 1_000_000_000n;

/** The decimal sign of a language. */
export function decimalSign(lang: string): string {
  return new Intl.NumberFormat(lang).formatToParts(1.5).find((p) => p.type === 'decimal')?.value ?? '.';
}

/**
 * Reads what somebody typed: comma or point as the decimal sign, spaces and thin spaces between digits allowed.
 * What could be thousands as well as a fraction (`86.420` from somebody who writes decimals with a comma), and two
 * signs at once (`1.234,5`), are refused rather than guessed at: a wrong guess is a thousandfold error.
 */
export function parseDecimal(typed: string, lang: string, allowNegative = false): DecimalResult {
  const text = typed.replace(/[\s\u00a0\u2009\u202f']/gu, '').replace('\u2212', '-');
  if (text === '') return { ok: false, fault: 'empty' };
  const match = /^(-?)(\d*)(?:[.,](\d+))?$/u.exec(text);
  const whole = match?.[2] ?? '';
  const fraction = match?.[3] ?? '';
  if (!match || (whole === '' && fraction === '')) return { ok: false, fault: 'not_a_number' };
  const sign = /[.,]/u.exec(text)?.[0];
  if (sign !== undefined && sign !== decimalSign(lang) && fraction.length === 3) return { ok: false, fault: 'ambiguous' };
  const cut = fraction.replace(/0+$/u, '');
  if (cut.length > MOST_PLACES) return { ok: false, fault: 'too_many_places' };
  const digits = whole.replace(/^0+(?=\d)/u, '') || '0';
  if (BigInt(digits) > LIMIT) return { ok: false, fault: 'too_large' };
  const zero = digits === '0' && cut === '';
  const negative = match[1] === '-' && !zero;
  if (negative && !allowNegative) return { ok: false, fault: 'negative' };
  return { ok: true, value: `${negative ? '-' : ''}${digits}${cut === '' ? '' : `.${cut}`}` };
}

/**
 * Reads a counter of distance. It is shown with its thousands grouped, so it may be typed that way; three digits after
 * the decimal sign of the language are no distance anybody reads off, and are refused as the thousands they may be.
 */
export function parseOdometer(typed: string, lang: string): DecimalResult {
  const text = typed.trim();
  const groups = decimalSign(lang) === ',' ? /^\d{1,3}(?:\.\d{3})+(?:,\d+)?$/u : /^\d{1,3}(?:,\d{3})+(?:\.\d+)?$/u;
  if (groups.test(text)) return parseDecimal(text.replaceAll(decimalSign(lang) === ',' ? '.' : ',', ''), lang);
  if (/^\d{1,3}[.,]\d{3}$/u.test(text)) return { ok: false, fault: 'ambiguous' };
  return parseDecimal(text, lang);
}

/** A decimal as an integer of 10⁻⁶, for exact comparing and adding. */
function micro(value: string): bigint {
  const negative = value.startsWith('-');
  const [whole = '0', fraction = ''] = value.replace('-', '').split('.');
  const scaled = BigInt(whole) * 1_000_000n + BigInt(fraction.padEnd(MOST_PLACES, '0').slice(0, MOST_PLACES));
  return negative ? -scaled : scaled;
}

function fromMicro(n: bigint): string {
  const negative = n < 0n;
  const abs = negative ? -n : n;
  const fraction = (abs % 1_000_000n).toString().padStart(MOST_PLACES, '0').replace(/0+$/u, '');
  return `${negative ? '-' : ''}${abs / 1_000_000n}${fraction === '' ? '' : `.${fraction}`}`;
}

/** Below zero when `a` is the smaller, zero when equal. */
export function compareDecimals(a: string, b: string): number {
  const d = micro(a) - micro(b);
  return d < 0n ? -1 : d > 0n ? 1 : 0;
}

/** `a - b`, exactly. */
export function subtractDecimals(a: string, b: string): string {
  return fromMicro(micro(a) - micro(b));
}

/** A decimal in the signs of a language, with the places it was written with. */
export function showDecimal(value: string, lang: string): string {
  const places = value.split('.')[1]?.length ?? 0;
  return new Intl.NumberFormat(lang, {
    minimumFractionDigits: places,
    maximumFractionDigits: Math.max(places, 0),
    useGrouping: 'min2',
  }).format(value as Intl.StringNumericLiteral);
}

/** A decimal as somebody would type it into a field again. */
export function typedDecimal(value: string, lang: string): string {
  return value.replace('.', decimalSign(lang));
}
