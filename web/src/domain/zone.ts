// Times are instants; people read and type them on the depot's wall clock.

/** English without a region would mean twelve-hour clocks and months first, which is not how the trade writes. */
function locale(lang: string): string {
  return lang === 'en' ? 'en-GB' : lang;
}

/** Minutes that a zone's wall clock is ahead of UTC at an instant. */
export function offsetMinutes(at: Date, zone: string): number {
  const parts = new Intl.DateTimeFormat('en-GB', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
  }).formatToParts(at);
  const get = (type: string) => Number(parts.find((p) => p.type === type)?.value ?? Number.NaN);
  const wall = Date.UTC(get('year'), get('month') - 1, get('day'), get('hour'), get('minute'), get('second'));
  return Math.round((wall - Math.floor(at.getTime() / 1000) * 1000) / 60_000);
}

export type WallTime = { ok: true; instant: string; twice: boolean } | { ok: false; fault: 'not_a_time' | 'skipped' };

/**
 * The instant of a wall-clock time such as `2026-10-25T10:30` in a zone. Times that the clocks skip in spring are
 * refused; of times that happen twice in autumn the earlier one is taken, and said so.
 */
export function fromWall(local: string, zone: string): WallTime {
  const match = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}):(\d{2})$/u.exec(local);
  if (!match) return { ok: false, fault: 'not_a_time' };
  const [year, month, day, hour, minute] = match.slice(1).map(Number) as [number, number, number, number, number];
  const wall = Date.UTC(year, month - 1, day, hour, minute);
  const check = new Date(wall);
  if (check.getUTCMonth() !== month - 1 || check.getUTCDate() !== day || hour > 23 || minute > 59) {
    return { ok: false, fault: 'not_a_time' };
  }
  const day_ms = 86_400_000;
  const offsets = new Set([offsetMinutes(new Date(wall - day_ms), zone), offsetMinutes(new Date(wall + day_ms), zone)]);
  const fits = [...offsets]
    .map((o) => wall - o * 60_000)
    .filter((t) => t + offsetMinutes(new Date(t), zone) * 60_000 === wall)
    .sort((a, b) => a - b);
  const first = fits[0];
  if (first === undefined) return { ok: false, fault: 'skipped' };
  return { ok: true, instant: new Date(first).toISOString().replace('.000Z', 'Z'), twice: fits.length > 1 };
}

/** The wall-clock time of an instant for a date-and-time field: `2026-10-25T10:30`. */
export function toWall(instant: string, zone: string): string {
  const at = new Date(instant);
  return new Date(at.getTime() + offsetMinutes(at, zone) * 60_000).toISOString().slice(0, 16);
}

/** The zone's calendar day of an instant: `2026-10-25`. */
export function dayIn(at: Date, zone: string): string {
  return toWall(at.toISOString(), zone).slice(0, 10);
}

/** A calendar day some days later. */
export function addDays(day: string, days: number): string {
  const at = new Date(`${day}T12:00:00Z`);
  at.setUTCDate(at.getUTCDate() + days);
  return at.toISOString().slice(0, 10);
}

export function showTime(instant: string, zone: string, lang: string): string {
  return new Intl.DateTimeFormat(locale(lang), { timeZone: zone, hour: '2-digit', minute: '2-digit' }).format(new Date(instant));
}

export function showDateTime(instant: string, zone: string, lang: string): string {
  return new Intl.DateTimeFormat(locale(lang), {
    timeZone: zone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
    timeZoneName: 'short',
  })
    .format(new Date(instant))
    // Some languages have no name for it and write how far it is from itself.
    .replace(/GMT\+0$/u, 'GMT');
}

export function showShortDay(day: string, lang: string): string {
  return new Intl.DateTimeFormat(locale(lang), { timeZone: 'UTC', day: 'numeric', month: 'short' }).format(new Date(`${day}T12:00:00Z`));
}

/** A day by its name; the year stands there where it is not this one. */
export function showDay(day: string, lang: string, today = day): string {
  const year = day.slice(0, 4) === today.slice(0, 4) ? {} : { year: 'numeric' as const };
  return new Intl.DateTimeFormat(locale(lang), { timeZone: 'UTC', weekday: 'long', day: 'numeric', month: 'long', ...year }).format(
    new Date(`${day}T12:00:00Z`),
  );
}
