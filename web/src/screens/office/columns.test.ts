import { describe, expect, it } from 'vitest';
import { columnsOf, EMPTY, missing } from './columns';
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

describe('a report’s month', () => {
  it('ends today, or with its last day', () => {
    expect(month('2026-11-26', 0)).toEqual({ from: '2026-11-01', to: '2026-11-26' });
    expect(month('2026-03-31', -1)).toEqual({ from: '2026-02-01', to: '2026-02-28' });
    expect(month('2027-01-02', -1)).toEqual({ from: '2026-12-01', to: '2026-12-31' });
  });
});
