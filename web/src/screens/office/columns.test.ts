import { describe, expect, it } from 'vitest';
import type { Money } from '../../api/types';
import { columnsOf, EMPTY, missing } from './columns';
import { kindsOf, likely } from './likely';
import { EMPTY_PAYMENTS, lacking, paymentColumns, twice } from './payments';
import { month } from './period';

describe('columns of a bank’s table', () => {
  const form = { ...EMPTY, account: ' GB33 ', booked_on: 'Date', amount: 'Amount', text: 'Details, More ,' };

  it('are told as the server takes them, without what stands empty', () => {
    expect(missing(form)).toEqual([]);
    expect(columnsOf(form)).toEqual({
      account: 'GB33', currency: 'GBP', encoding: 'utf8', separator: ',', decimal: '.', date_format: '%d/%m/%Y', skip_lines: 0, booked_on: 'Date', amount: 'Amount', text: ['Details', 'More'],
    });
  });

  it('need one amount with a sign, or two without, and never both', () => {
    expect(missing({ ...form, amount: '' })).toEqual(['amount']);
    expect(missing({ ...form, amount: '', money_in: 'In' })).toEqual(['amount']);
    expect(missing({ ...form, amount: '', money_in: 'In', money_out: 'Out' })).toEqual([]);
    expect(missing({ ...form, money_in: 'In', money_out: 'Out' })).toEqual(['amount']);
    expect(missing({ ...EMPTY, skip_lines: 'x' })).toEqual(['account', 'booked_on', 'amount', 'skip_lines']);
  });
});

describe('columns of a payment provider’s table', () => {
  const form = {
    ...EMPTY_PAYMENTS, event: 'No ', hire: 'Order', kind: 'Type', amount: 'Sum', at: ' When', time_format: 'dots' as const, separator: 'semicolon' as const,
    words: [{ word: ' reserved ', means: 'hold_placed' as const }, { word: 'fee', means: 'pass_over' as const }, { word: ' ', means: 'captured' as const }, { word: 'taken', means: 'captured' as const }],
  };

  it('are told as the server takes them, with each word once', () => {
    expect(lacking(form)).toEqual([]);
    expect(paymentColumns(form)).toEqual({
      currency: 'GBP', encoding: 'utf8', separator: ';', decimal: '.', skip_lines: 0, event: 'No', hire: 'Order', kind: 'Type', amount: 'Sum', at: 'When', time_format: '%d.%m.%Y %H:%M', means: 'card',
      kinds: { reserved: 'hold_placed', taken: 'captured' }, pass_over: ['fee'],
    });
    expect(paymentColumns({ ...form, time_format: 'offset' })).not.toHaveProperty('time_format');
  });

  it('need the four without which no event is one, and no word twice', () => {
    expect(lacking({ ...form, hire: ' ', amount: '', skip_lines: '-1' })).toEqual(['hire', 'amount', 'skip_lines']);
    expect(twice(form.words)).toEqual([]);
    expect(twice([...form.words, { word: 'reserved', means: 'captured' }, { word: '', means: 'captured' }])).toEqual([4]);
  });
});

describe('money at the bank', () => {
  const money = (minor: number): Money => ({ minor, currency: 'GBP' });

  it('is a deposit before the return and pays a balance afterwards; what goes out is given back', () => {
    expect((['booked', 'out', 'returned', 'settled', 'cancelled'] as const).map((status) => likely(status, money(1)))).toEqual(['hold_placed', 'hold_placed', 'paid', 'paid', 'paid']);
    expect((['booked', 'returned', 'settled', 'cancelled'] as const).map((status) => likely(status, money(-1)))).toEqual(['refunded', 'refunded', 'repaid', 'refunded']);
    for (const minor of [1, -1]) expect(kindsOf(money(minor))).toContain(likely('returned', money(minor)));
  });
});

describe('a report’s month', () => {
  it('ends today, or with its last day', () => {
    expect(month('2026-11-26', 0)).toEqual({ from: '2026-11-01', to: '2026-11-26' });
    expect(month('2026-03-31', -1)).toEqual({ from: '2026-02-01', to: '2026-02-28' });
    expect(month('2027-01-02', -1)).toEqual({ from: '2026-12-01', to: '2026-12-31' });
  });
});
