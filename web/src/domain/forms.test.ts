import { describe, expect, it } from 'vitest';
import type { Answer } from '../api/types';
import { byTap, emptyForm, formOf, noteNeeded, readForm, type FormContext } from './answerForm';
import { emptyHire, readHire } from './hireForm';

const vehicle: FormContext['vehicle'] = {
  cylinders: [{ slot: '1', net_fill_kg: '11', tare_kg: '10.4' }],
  odometer_unit: 'mile',
  fuel_gauge_divisions: 8,
};

const answers: Answer[] = [
  { kind: 'condition', state: 'needs_attention' },
  { kind: 'odometer', value: '48213', unit: 'mile' },
  { kind: 'fuel', level: { gauge: { part: 3, of: 8 } } },
  { kind: 'fuel', level: { percent: { value: '62.5', half_width: '0.5' } } },
  { kind: 'cylinder', gross_kg: '17.3', tare_kg: '10.4', net_fill_kg: '11', half_width_kg: '0.1' },
  { kind: 'leisure_battery', volts: '12.64', half_width: '0.05', minutes_at_rest: 240, temperature_c: '-2.5' },
  { kind: 'leisure_battery', volts: '12.64', half_width: '0.05', minutes_at_rest: 0 },
  { kind: 'starter_battery', volts: '12.8', half_width: '0.1' },
  { kind: 'water', level: { gauge: { part: 0, of: 4 } }, drained: true },
  { kind: 'cassette', state: 'empty_rinsed', dosed: true },
  { kind: 'tread', mm: '5.5', half_width: '0.5' },
  { kind: 'keys', pieces: 2 },
  { kind: 'cleanliness', grade: 'clean' },
  { kind: 'count', pieces: 0 },
];

describe('answers', () => {
  it.each(['en', 'de'])('come back unchanged from the form they fill, in %s', (lang) => {
    for (const answer of answers) {
      expect(readForm(answer.kind, formOf(answer, lang), vehicle, lang)).toEqual({ ok: true, answer });
    }
  });

  it('start from the vehicle and hold no reading', () => {
    const form = emptyForm('cylinder', '1', { vehicle, lang: 'de' });
    expect(form).toEqual({ tare_kg: '10,4', net_fill_kg: '11', half_width: '0,1' });
    expect(readForm('cylinder', form, vehicle, 'de')).toEqual({ ok: false, faults: { gross_kg: 'empty' } });
    expect(emptyForm('tread', null, { vehicle, lang: 'en', halfWidth: '0.25' })).toEqual({ half_width: '0.25' });
    expect(emptyForm('fuel', null, { vehicle: { ...vehicle, fuel_gauge_divisions: null }, lang: 'en' })['mode']).toBe('percent');
  });

  it('of a level are read the way they were at departure', () => {
    const water = (level: Extract<Answer, { kind: 'water' }>['level']): Answer => ({ kind: 'water', level, drained: true });
    const percent = water({ percent: { value: '40', half_width: '2.5' } });
    expect(emptyForm('water', null, { vehicle, lang: 'de', before: percent })).toEqual({ mode: 'percent', half_width: '2,5', drained: 'no' });
    expect(emptyForm('water', null, { vehicle, lang: 'en', before: percent, halfWidth: '1' })['half_width']).toBe('1');
    expect(emptyForm('water', null, { vehicle, lang: 'en', before: water({ gauge: { part: 1, of: 3 } }) })).toMatchObject({ mode: 'gauge', of: '3' });
    expect(emptyForm('fuel', null, { vehicle, lang: 'en', before: { kind: 'fuel', level: { percent: { value: '40', half_width: '1' } } } })['mode']).toBe('percent');
    expect(emptyForm('fuel', null, { vehicle, lang: 'en', before: percent })).toMatchObject({ mode: 'gauge', of: '8' });
  });

  it('ask for words where the choice alone says too little', () => {
    expect(noteNeeded('condition', { state: 'needs_attention' })).toBe('wrong');
    expect(noteNeeded('condition', { state: 'not_checked' })).toBe('whyNot');
    expect(noteNeeded('condition', { state: 'in_order' })).toBeNull();
    expect(noteNeeded('condition', { state: 'missing' })).toBeNull();
    expect(noteNeeded('condition', {})).toBeNull();
  });

  it('name what is wrong with which field', () => {
    expect(readForm('leisure_battery', { volts: 'x', half_width: '0.05', minutes: '1.5' }, vehicle, 'en')).toEqual({
      ok: false,
      faults: { volts: 'not_a_number', minutes: 'not_a_number' },
    });
    expect(readForm('condition', {}, vehicle, 'en')).toEqual({ ok: false, faults: { state: 'required' } });
    expect(readForm('fuel', { mode: 'gauge', of: '8' }, vehicle, 'en')).toEqual({ ok: false, faults: { part: 'empty' } });
  });

  it('are sent at the tap only where nothing else is to be said', () => {
    expect(byTap('condition', { state: 'in_order' })).toBe(true);
    expect(byTap('condition', { state: 'missing' })).toBe(false);
    expect(byTap('fuel', { part: '3' })).toBe(false);
    expect(byTap('count', { pieces: '4' })).toBe(true);
  });
});

describe('a new hire', () => {
  const where = { vehicle: { id: 'v', depot: 'd' }, zone: 'Europe/London', currency: 'GBP' as const, lang: 'en' };
  const filled = () => {
    const fields = emptyHire('h', 'p', '2026-07-01', '2026-07-08');
    return { ...fields, reference: 'R1', vehicle: 'v', excess: '1,000', deposit: '1500', drivers: [{ id: 'p', name: ' Ada ', email: '', phone: '' }] };
  };

  it('is read on the depot’s wall clock', () => {
    const read = readHire({ ...filled(), alpine: true }, where);
    expect(read).toMatchObject({
      ok: true,
      hire: {
        agreed_departure: '2026-07-01T14:00:00Z',
        agreed_return: '2026-07-08T09:00:00Z',
        excess: { minor: 100_000, currency: 'GBP' },
        deposit: { minor: 150_000, currency: 'GBP' },
        trips: ['alpine'],
        drivers: [{ id: 'p', name: 'Ada', lead: true }],
      },
    });
  });

  it('names every field that is missing or cannot be', () => {
    const read = readHire({ ...filled(), reference: ' ', return: '2026-06-01T10:00', deposit: '' }, { ...where, vehicle: undefined });
    expect(read).toEqual({ ok: false, faults: { reference: 'required', vehicle: 'required', return: 'endBeforeStart', deposit: 'empty' } });
  });
});
