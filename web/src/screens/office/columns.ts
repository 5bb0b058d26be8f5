// Which column of a bank's table is what, as a form is filled in and as the server takes it.
import type { Currency } from '../../api/types';
import type { Db } from '../../store/db';

export const SEPARATORS = { comma: ',', semicolon: ';', tab: '\t' } as const;
export const DATES = { iso: '%Y-%m-%d', dots: '%d.%m.%Y', slashes: '%d/%m/%Y', us: '%m/%d/%Y' } as const;
export const ENCODINGS = ['utf8', 'windows1252'] as const;
export const CURRENCIES: readonly Currency[] = ['GBP', 'EUR', 'CHF', 'SEK', 'NOK', 'DKK', 'ISK', 'PLN', 'CZK', 'USD', 'CAD', 'AUD', 'NZD', 'ZAR', 'JPY', 'KWD'];

/** How any table is written. */
export interface TableForm {
  currency: Currency;
  encoding: (typeof ENCODINGS)[number];
  separator: keyof typeof SEPARATORS;
  decimal: '.' | ',';
  skip_lines: string;
}

export interface ColumnForm extends TableForm {
  account: string;
  date_format: keyof typeof DATES;
  booked_on: string;
  value_on: string;
  amount: string;
  money_in: string;
  money_out: string;
  bank_reference: string;
  reference: string;
  party: string;
  text: string;
}

export const PLAIN: TableForm = { currency: 'GBP', encoding: 'utf8', separator: 'comma', decimal: '.', skip_lines: '0' };

export const EMPTY: ColumnForm = {
  ...PLAIN, account: '', date_format: 'slashes', booked_on: '', value_on: '', amount: '', money_in: '', money_out: '', bank_reference: '', reference: '', party: '', text: '',
};

export const wrongSkip = (form: TableForm) => !/^\d{1,3}$/u.test(form.skip_lines.trim());

/** Fields that stand empty and must not, by name; `amount` for the amount in either way. */
export function missing(form: ColumnForm): (keyof ColumnForm)[] {
  const wanted: (keyof ColumnForm)[] = ['account', 'booked_on'];
  const found = wanted.filter((k) => form[k].trim() === '');
  const one = form.amount.trim() !== '';
  const two = form.money_in.trim() !== '' && form.money_out.trim() !== '';
  const half = (form.money_in.trim() !== '') !== (form.money_out.trim() !== '');
  if (one === two || half) found.push('amount');
  if (wrongSkip(form)) found.push('skip_lines');
  return found;
}

export function tableOf(form: TableForm): { currency: Currency; encoding: TableForm['encoding']; separator: string; decimal: string; skip_lines: number } {
  return { currency: form.currency, encoding: form.encoding, separator: SEPARATORS[form.separator], decimal: form.decimal, skip_lines: Number(form.skip_lines) };
}

/** As the server takes it. */
export function columnsOf(form: ColumnForm): Record<string, unknown> {
  const named: (keyof ColumnForm)[] = ['value_on', 'amount', 'money_in', 'money_out', 'bank_reference', 'reference', 'party'];
  const columns: Record<string, unknown> = {
    ...tableOf(form),
    account: form.account.trim(),
    date_format: DATES[form.date_format],
    booked_on: form.booked_on.trim(),
    text: form.text.split(',').map((c) => c.trim()).filter((c) => c !== ''),
  };
  for (const k of named) if (form[k].trim() !== '') columns[k] = form[k].trim();
  return columns;
}

/** What a form is kept as on this device. */
export type Kept = 'bank-columns' | 'payment-columns';

/** As it was filled in last on this device. */
export async function kept<T extends TableForm>(db: Db, key: Kept, empty: T): Promise<T> {
  return { ...empty, ...((await db.get('kept', key)) as Partial<T> | undefined) };
}

export async function keep<T extends TableForm>(db: Db, key: Kept, form: T): Promise<void> {
  await db.put('kept', form, key);
}
