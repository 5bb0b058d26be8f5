import { describe, expect, it } from 'vitest';
import { lesser, minus, moneyText, parseMoney, plus, showMoney, typedMoney } from './money';

describe('parseMoney', () => {
  it.each([
    ['412.50', 'GBP', 'en', 41250],
    ['412,5', 'GBP', 'en', 41250],
    ['412,50', 'EUR', 'de', 41250],
    ['1,250.00', 'GBP', 'en', 125000],
    ['1.250,00', 'EUR', 'en', 125000],
    ['1,250', 'GBP', 'en', 125000],
    ['1.250', 'EUR', 'de', 125000],
    ['1 250', 'GBP', 'en', 125000],
    ['0', 'GBP', 'en', 0],
    ['.5', 'GBP', 'en', 50],
    ['1500', 'JPY', 'en', 1500],
    ['1.234', 'KWD', 'en', 1234],
    ['1,234,567.89', 'GBP', 'en', 123456789],
    ['1.234.567', 'EUR', 'en', 123456700],
  ])('reads %j in %s (%s) as %d minor units', (typed, currency, lang, minor) => {
    expect(parseMoney(typed, currency, lang)).toEqual({ ok: true, minor });
  });

  it.each([
    ['', 'GBP', 'en', 'empty'],
    // Twelve pounds and a bit, or twelve thousand? A wrong guess is a thousandfold error.
    ['12.345', 'GBP', 'en', 'ambiguous'],
    ['12,345', 'EUR', 'de', 'ambiguous'],
    ['12.3456', 'GBP', 'en', 'too_many_places'],
    ['1.5', 'JPY', 'en', 'too_many_places'],
    ['-1', 'GBP', 'en', 'negative'],
    ['ten', 'GBP', 'en', 'not_a_number'],
    ['99999999999999999', 'GBP', 'en', 'too_large'],
  ])('refuses %j in %s (%s) as %s', (typed, currency, lang, fault) => {
    expect(parseMoney(typed, currency, lang)).toEqual({ ok: false, fault });
  });

  it('reads back what it would show for typing, for every language', () => {
    for (const minor of [0, 1, 99, 100, 41250, 123456789]) {
      for (const lang of ['en', 'de']) {
        expect(parseMoney(typedMoney({ minor, currency: 'EUR' }, lang), 'EUR', lang)).toEqual({ ok: true, minor });
      }
    }
  });
});

describe('showing', () => {
  it('never loses a minor unit to a float', () => {
    // As doubles, 90071992547409.91 has no exact value.
    expect(moneyText({ minor: 9007199254740991, currency: 'GBP' })).toBe('90071992547409.91');
    expect(showMoney({ minor: 9007199254740991, currency: 'GBP' }, 'en')).toBe('£90,071,992,547,409.91');
  });

  it('knows currencies without and with three places, and amounts below zero', () => {
    expect(moneyText({ minor: 1500, currency: 'JPY' })).toBe('1500');
    expect(moneyText({ minor: 5, currency: 'KWD' })).toBe('0.005');
    expect(moneyText({ minor: -7, currency: 'GBP' })).toBe('-0.07');
    expect(showMoney({ minor: 41250, currency: 'EUR' }, 'de')).toBe('412,50\u00a0€');
  });
});

describe('reckoning', () => {
  it('adds and takes away within one currency only', () => {
    const a = { minor: 1, currency: 'GBP' as const };
    const b = { minor: 3, currency: 'GBP' as const };
    expect(plus(a, b).minor).toBe(4);
    expect(minus(a, b).minor).toBe(-2);
    expect(lesser(a, b)).toBe(a);
    expect(() => plus(a, { minor: 1, currency: 'EUR' })).toThrow(/two currencies/u);
  });
});
