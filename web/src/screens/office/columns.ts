// Which column of a bank's table is what, as a form is filled in and as the server takes it.
import type { Db } from '../../store/db';

export const SEPARATORS = { comma: ',', semicolon: ';', tab: '\t' } as const;
export const DATES = { iso: '%Y-%m-%d', dots: '%d.%m.%Y', slashes: '%d/%m/%Y', us: '%m/%d/%Y' } as const;
export const ENCODINGS = ['utf8', 'windows1252'] as const;

export interface ColumnForm {
  account: string;
  currency: string;
  encoding: (typeof ENCODINGS)[number];
  separator: keyof typeof SEPARATORS;
  decimal: '.' | ',';
  date_format: keyof typeof DATES;
  skip_lines: string;
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

export const EMPTY: ColumnForm = {
  account: '', currency: 'GBP', encoding: 'utf8', separator: 'comma', decimal: '.', date_format: 'slashes', skip_lines: '0', booked_on: '', value_on: '', amount: '',
  money_in: '', money_out: '', bank_reference: '', reference: '', party: '', text: '',
};

/** Fields that stand empty and must not, by name; `amount` for the amount in either way. */
export function missing(form: ColumnForm): (keyof ColumnForm)[] {
  const wanted: (keyof ColumnForm)[] = ['account', 'booked_on'];
  const found = wanted.filter((k) => form[k].trim() === '');
  const one = form.amount.trim() !== '';
  const two = form.money_in.trim() !== '' && form.money_out.trim() !== '';
  const half = (form.money_in.trim() !== '') !== (form.money_out.trim() !== '');
  if (one === two || half) found.push('amount');
  if (!/^\d{1,3}$/u.test(form.skip_lines.trim())) found.push('skip_lines');
  return found;
}

/** As the server takes it. */
export function columnsOf(form: ColumnForm): Record<string, unknown> {
  const named: (keyof ColumnForm)[] = ['value_on', 'amount', 'money_in', 'money_out', 'bank_reference', 'reference', 'party'];
  const columns: Record<string, unknown> = {
    account: form.account.trim(),
    currency: form.currency,
    encoding: form.encoding,
    separator: SEPARATORS[form.separator],
    decimal: form.decimal,
    date_format: DATES[form.date_format],
    skip_lines: Number(form.skip_lines),
    booked_on: form.booked_on.trim(),
    text: form.text.split(',').map((c) => c.trim()).filter((c) => c !== ''),
  };
  for (const k of named) if (form[k].trim() !== '') columns[k] = form[k].trim();
  return columns;
}

const KEY = 'bank-columns';

/** As it was filled in last on this device. */
export async function kept(db: Db): Promise<ColumnForm> {
  return { ...EMPTY, ...((await db.get('kept', KEY)) as Partial<ColumnForm> | undefined) };
}

export async function keep(db: Db, form: ColumnForm): Promise<void> {
  await db.put('kept', form, KEY);
}
