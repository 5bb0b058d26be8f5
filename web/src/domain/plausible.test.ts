import { describe, expect, it } from 'vitest';
import { plausible } from './plausible';

const cylinder = (gross_kg: string, tare_kg = '6.5', net_fill_kg = '11') => plausible('cylinder', { gross_kg, tare_kg, net_fill_kg }, undefined, 'km', 'en');
const odometer = (value: string) => plausible('odometer', { value }, { kind: 'odometer', value: '50000', unit: 'km' }, 'km', 'en');

describe('plausible', () => {
  it('says how far a cylinder is under its tare or over its fill', () => {
    expect(cylinder('3.5')).toEqual({ is: 'under_tare', by: '3' });
    expect(cylinder('18.1')).toEqual({ is: 'over_net_fill', by: '0.6' });
    expect(cylinder('17.5')).toBe(null);
    expect(cylinder('')).toBe(null);
    expect(plausible('cylinder', { gross_kg: '3,5', tare_kg: '6,75', net_fill_kg: '11' }, undefined, 'km', 'de')).toEqual({ is: 'under_tare', by: '3,25' });
  });

  it('compares an odometer with departure', () => {
    expect(odometer('49880')).toEqual({ is: 'less_than_departure', by: '120', unit: 'km' });
    expect(odometer('50000')).toBe(null);
    expect(odometer('60000')).toBe(null);
    expect(odometer('60001')).toEqual({ is: 'far', by: '10,001', unit: 'km' });
    expect(plausible('odometer', { value: '1' }, undefined, 'km', 'en')).toBe(null);
  });

  it('asks about voltages and depths that instruments hardly show', () => {
    const volts = (volts: string, kind: 'leisure_battery' | 'starter_battery' = 'leisure_battery') => plausible(kind, { volts }, undefined, 'km', 'en');
    expect(volts('12.6')).toBe(null);
    expect(volts('127')).toEqual({ is: 'outside', least: '9', most: '16', unit: 'V' });
    expect(volts('13.8')).toEqual({ is: 'charging' });
    expect(volts('25.2', 'starter_battery')).toEqual({ is: 'twenty_four' });
    expect(plausible('tread', { mm: '55' }, undefined, 'km', 'en')).toEqual({ is: 'outside', least: '0', most: '12', unit: 'mm' });
    expect(plausible('condition', {}, undefined, 'km', 'en')).toBe(null);
  });
});
