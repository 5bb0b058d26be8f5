import { describe, expect, it } from 'vitest';
import { de } from '../i18n/de';
import { deTwo } from '../i18n/de.two';
import { en } from '../i18n/en';
import { enTwo } from '../i18n/en.two';
import { recordSubject, recordWords, type Around } from './recordWords';

const titles: Record<string, string> = { horn: 'Horn', rear: 'Rear, straight on', gas_use: 'Gas' };
const shared = { zone: 'Europe/London', tariff: null, panels: [{ key: 'rear_wall', title: { en: 'Rear wall', de: 'Rückwand' }, group: 'body' }], titleOf: (key: string) => titles[key] ?? key, markOf: (id: string) => (id === 'm' ? 'dent, 30 mm, Rear wall' : undefined) };
const english: Around = { ...shared, t: en, two: enTwo, lang: 'en' };
const german: Around = { ...shared, t: de, two: deTwo, lang: 'de' };
const AT = '2026-11-26T08:11:00.000Z';

describe('a record in words', () => {
  it('says an answer with all that can differ in it', () => {
    const entry = { id: 'a', checkpoint: 'horn', answer: { kind: 'condition', state: 'missing' }, note: 'stolen', photos: ['p'], recorded_at: AT, replaces: [] };
    expect(recordSubject('entries', entry, english)).toBe('Horn');
    expect(recordWords('entries', entry, english).split('\n')).toEqual(['Missing', 'Note: stolen', 'with 1 photograph', 'recorded Thu, 26 Nov 2026, 08:11 GMT']);
  });

  it('shows no name of a field and no id', () => {
    const mark = { id: 'x', panel: 'rear_wall', kind: 'scratch', size_mm: 240, depth: 'through_finish', viewpoint: 'rear', x: '0.315', y: '0.5', photos: [], note: null };
    expect(recordWords('marks', mark, german)).toBe('Kratzer, 240 mm, Rückwand\nDurch den Lack\nauf „Rear, straight on“\n31,5 % von links, 50 % von oben');
    expect(recordSubject('sightings', { mark: 'm', size_mm: 35 }, english)).toBe('dent, 30 mm, Rear wall');
    expect(recordSubject('photos', { id: 'p', subject: { of: 'viewpoint', viewpoint: 'rear' } }, english)).toBe('Rear, straight on');
    expect(recordWords('photos', { id: 'p', taken_at: AT, sha256: 'ab'.repeat(32) }, english)).toBe('taken Thu, 26 Nov 2026, 08:11 GMT\nfingerprint abab abab abab abab');
    expect(recordWords('absence', { reason: 'keys in the box', noted_at: AT }, english)).toBe('keys in the box\nrecorded Thu, 26 Nov 2026, 08:11 GMT');
  });

  it('tells a topic that was left out, shown or acknowledged', () => {
    const topic = { topic: 'gas_use', shown_at: AT, acknowledged_at: null, override_reason: null };
    expect(recordWords('briefings', topic, english)).toBe('shown Thu, 26 Nov 2026, 08:11 GMT, not acknowledged');
    expect(recordWords('briefings', { ...topic, acknowledged_at: AT }, english)).toBe('acknowledged Thu, 26 Nov 2026, 08:11 GMT');
    expect(recordWords('briefings', { ...topic, override_reason: 'knows it' }, english)).toBe('left out by staff: knows it');
    expect(recordWords('briefings', { ...topic, shown_at: null }, english)).toBe('not shown');
    expect(recordWords('leg', 'return', german)).toBe(de.leg.return);
    expect(recordWords('entries', null, english)).toBe('nothing');
  });
});
