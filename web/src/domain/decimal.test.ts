import { describe, expect, it } from 'vitest';
import { compareDecimals, parseDecimal, parseOdometer, showDecimal, subtractDecimals, typedDecimal } from './decimal';

describe('parseDecimal', () => {
  it.each([
    ['14.2', '14.2'],
    ['14,2', '14.2'],
    [' 1 234,50 ', '1234.5'],
    ['007', '7'],
    ['0,0', '0'],
    ['.5', '0.5'],
    ['86\u202f420', '86420'],
  ])('reads %j as %j', (typed, value) => {
    expect(parseDecimal(typed, 'en')).toEqual({ ok: true, value });
  });

  it.each([
    ['', 'empty'],
    ['  ', 'empty'],
    ['1.234,5', 'not_a_number'],
    ['14.', 'not_a_number'],
    ['1e3', 'not_a_number'],
    ['0.1234567', 'too_many_places'],
    ['1000000001', 'too_large'],
    ['-3', 'negative'],
  ])('refuses %j as %s', (typed, fault) => {
    expect(parseDecimal(typed, 'en')).toEqual({ ok: false, fault });
  });

  it('does not guess whether a sign groups thousands or begins a fraction', () => {
    expect(parseDecimal('86.420', 'de')).toEqual({ ok: false, fault: 'ambiguous' });
    expect(parseDecimal('86,420', 'en')).toEqual({ ok: false, fault: 'ambiguous' });
    expect(parseDecimal('12.645', 'en')).toEqual({ ok: true, value: '12.645' });
    expect(parseDecimal('14.2', 'de')).toEqual({ ok: true, value: '14.2' });
  });

  it('reads a temperature below zero where that is allowed', () => {
    expect(parseDecimal('-4,5', 'en', true)).toEqual({ ok: true, value: '-4.5' });
    expect(parseDecimal('\u22124', 'en', true)).toEqual({ ok: true, value: '-4' });
    expect(parseDecimal('-0', 'en', true)).toEqual({ ok: true, value: '0' });
  });
});

describe('parseOdometer', () => {
  it.each([
    ['48.213', 'de', '48213'],
    ['48,213', 'en', '48213'],
    ['1.048.213', 'de', '1048213'],
    ['48.213,5', 'de', '48213.5'],
    ['48,213.5', 'en', '48213.5'],
    ['48213', 'de', '48213'],
    ['48213,4', 'de', '48213.4'],
    ['48 213', 'en', '48213'],
  ])('reads %j in %s as %s', (typed, lang, value) => {
    expect(parseOdometer(typed, lang)).toEqual({ ok: true, value });
    expect(parseOdometer(` ${showDecimal(value, lang)} `, lang)).toEqual({ ok: true, value });
  });

  it('guesses no further', () => {
    expect(parseOdometer('48.213', 'en')).toEqual({ ok: false, fault: 'ambiguous' });
    expect(parseOdometer('48,213', 'de')).toEqual({ ok: false, fault: 'ambiguous' });
    expect(parseOdometer('48.21.3', 'de')).toEqual({ ok: false, fault: 'not_a_number' });
    expect(parseOdometer('4821.345.678', 'de')).toEqual({ ok: false, fault: 'not_a_number' });
    expect(parseOdometer('', 'de')).toEqual({ ok: false, fault: 'empty' });
  });
});

describe('reckoning', () => {
  it('is exact where a float is not', () => {
    expect(0.3 - 0.1).not.toBe(0.2);
    expect(subtractDecimals('0.3', '0.1')).toBe('0.2');
    expect(subtractDecimals('11.6', '14.2')).toBe('-2.6');
    expect(compareDecimals('9.10', '9.1')).toBe(0);
    expect(compareDecimals('10', '9.999999')).toBe(1);
  });
});

describe('showing', () => {
  it('uses the signs of the language', () => {
    expect(showDecimal('14.25', 'en')).toBe('14.25');
    expect(showDecimal('14.25', 'de')).toBe('14,25');
    expect(showDecimal('86420', 'de')).toBe('86.420');
    expect(typedDecimal('14.25', 'de')).toBe('14,25');
  });
});
