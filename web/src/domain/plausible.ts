// What can be said of a number while it is typed: that it cannot be, or hardly, with the figures that say so. Words for
// the person who can still look again; the server refuses what cannot be. Ranges: the server's, and common practice, no
// source, where it only asks.
import type { Answer } from '../api/types';
import type { AnswerKind, Form } from './answerForm';
import { compareDecimals, parseDecimal, parseOdometer, showDecimal, subtractDecimals } from './decimal';

export type Hint =
  | { is: 'under_tare' | 'over_net_fill'; by: string }
  | { is: 'less_than_departure'; by: string; unit: 'km' | 'mile' }
  | { is: 'far'; by: string; unit: 'km' | 'mile' }
  | { is: 'outside'; least: string; most: string; unit: string }
  | { is: 'twenty_four' }
  | { is: 'charging' };

/** Further than most hires go; said, not refused. */
const FAR = '10000';
/** Above this a 12 V battery is being charged, common practice, no source. */
const CHARGING = '13.4';

/** A hint on the form, or null where nothing is to be said. `before` is departure's answer to the same question. */
export function plausible(kind: AnswerKind, form: Form, before: Answer | undefined, unit: 'km' | 'mile', lang: string): Hint | null {
  const number = (field: string): string | null => {
    const read = (kind === 'odometer' ? parseOdometer : parseDecimal)(form[field] ?? '', lang);
    return read.ok ? read.value : null;
  };
  const show = (value: string) => showDecimal(value, lang);
  const outside = (value: string | null, least: string, most: string, of: string): Hint | null =>
    value !== null && (compareDecimals(value, least) < 0 || compareDecimals(value, most) > 0) ? { is: 'outside', least: show(least), most: show(most), unit: of } : null;
  switch (kind) {
    case 'cylinder': {
      const [gross, tare, net] = [number('gross_kg'), number('tare_kg'), number('net_fill_kg')];
      if (gross === null || tare === null) return null;
      if (compareDecimals(gross, tare) < 0) return { is: 'under_tare', by: show(subtractDecimals(tare, gross)) };
      const gas = subtractDecimals(gross, tare);
      if (net !== null && compareDecimals(gas, net) > 0) return { is: 'over_net_fill', by: show(subtractDecimals(gas, net)) };
      return null;
    }
    case 'odometer': {
      const now = number('value');
      if (now === null || before?.kind !== 'odometer' || before.unit !== unit) return null;
      if (compareDecimals(now, before.value) < 0) return { is: 'less_than_departure', by: show(subtractDecimals(before.value, now)), unit };
      const driven = subtractDecimals(now, before.value);
      return compareDecimals(driven, FAR) > 0 ? { is: 'far', by: show(driven), unit } : null;
    }
    case 'leisure_battery':
    case 'starter_battery': {
      const volts = number('volts');
      if (volts === null) return null;
      if (kind === 'starter_battery' && compareDecimals(volts, '20') > 0 && compareDecimals(volts, '30') < 0) return { is: 'twenty_four' };
      return outside(volts, '9', '16', 'V') ?? (compareDecimals(volts, CHARGING) > 0 ? { is: 'charging' } : null);
    }
    case 'tread':
      return outside(number('mm'), '0', '12', 'mm');
    default:
      return null;
  }
}
