import { describe, expect, it } from 'vitest';
import { pickLang } from '../i18n/index.svelte';
import { match } from './router.svelte';

describe('match', () => {
  it('finds the values of a pattern', () => {
    expect(match('/inspections/:id/steps/:key', '/inspections/01/steps/mains_inlet')).toEqual({ id: '01', key: 'mains_inlet' });
    expect(match('/hires/new', '/hires/new/')).toEqual({});
    expect(match('/hires/:id', '/hires')).toBeNull();
    expect(match('/hires/new', '/hires/old')).toBeNull();
    expect(match('/x/:key', '/x/a%2Fb')).toEqual({ key: 'a/b' });
  });
});

describe('pickLang', () => {
  it('takes the first language there are words in', () => {
    expect(pickLang(['fr-FR', 'de-AT', 'en'])).toBe('de');
    expect(pickLang(['en-GB'])).toBe('en');
    expect(pickLang(['cs'])).toBe('en');
  });
});
