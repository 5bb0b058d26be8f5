// Which column of a payment provider's table is what, and what the provider's words mean.
import type { Means, MovementKind, PaymentColumns } from '../../api/types';
import { PLAIN, tableOf, wrongSkip, type TableForm } from './columns';

/** How moments are written; the first carries its offset, the others are in UTC. */
export const TIMES = { offset: null, iso: '%Y-%m-%d %H:%M:%S', dots: '%d.%m.%Y %H:%M', slashes: '%d/%m/%Y %H:%M', us: '%m/%d/%Y %H:%M' } as const;

export const KINDS: readonly MovementKind[] = ['hold_placed', 'hold_extended', 'captured', 'released', 'paid', 'refunded', 'repaid', 'charged_back', 'written_off'];

export const PASS = 'pass_over';

export interface WordForm {
  word: string;
  means: MovementKind | typeof PASS;
}

export interface PaymentForm extends TableForm {
  event: string;
  hire: string;
  kind: string;
  amount: string;
  currency_column: string;
  reference: string;
  payer: string;
  note: string;
  at: string;
  hold_ends_at: string;
  time_format: keyof typeof TIMES;
  means: Exclude<Means, 'none'>;
  words: WordForm[];
}

export const EMPTY_PAYMENTS: PaymentForm = {
  ...PLAIN, event: '', hire: '', kind: '', amount: '', currency_column: '', reference: '', payer: '', note: '', at: '', hold_ends_at: '', time_format: 'offset', means: 'card',
  words: [{ word: '', means: 'hold_placed' }],
};

export const NEEDED = ['event', 'hire', 'kind', 'amount'] as const;
export const OPTIONAL = ['reference', 'at', 'hold_ends_at', 'payer', 'note', 'currency_column'] as const;

export function lacking(form: PaymentForm): (keyof PaymentForm)[] {
  const found: (keyof PaymentForm)[] = NEEDED.filter((k) => form[k].trim() === '');
  if (wrongSkip(form)) found.push('skip_lines');
  return found;
}

/** Where a word stands a second time, by its row. */
export function twice(words: readonly WordForm[]): number[] {
  return words.flatMap((w, i) => (w.word.trim() !== '' && words.findIndex((other) => other.word.trim() === w.word.trim()) < i ? [i] : []));
}

export function paymentColumns(form: PaymentForm): PaymentColumns {
  const words = form.words.map((w) => ({ ...w, word: w.word.trim() })).filter((w) => w.word !== '');
  const columns: PaymentColumns = {
    ...tableOf(form),
    event: form.event.trim(),
    hire: form.hire.trim(),
    kind: form.kind.trim(),
    amount: form.amount.trim(),
    means: form.means,
    kinds: Object.fromEntries(words.flatMap((w) => (w.means === PASS ? [] : [[w.word, w.means]]))),
    pass_over: words.filter((w) => w.means === PASS).map((w) => w.word),
  };
  for (const k of OPTIONAL) if (form[k].trim() !== '') columns[k] = form[k].trim();
  const format = TIMES[form.time_format];
  if (format !== null) columns.time_format = format;
  return columns;
}
