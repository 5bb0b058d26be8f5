import { describe, expect, it } from 'vitest';
import { addDays, dayIn, fromWall, offsetMinutes, toWall } from './zone';

describe('fromWall', () => {
  it('reads a wall-clock time in winter and in summer', () => {
    expect(fromWall('2026-01-10T15:00', 'Europe/London')).toEqual({ ok: true, instant: '2026-01-10T15:00:00Z', twice: false });
    expect(fromWall('2026-07-10T15:00', 'Europe/London')).toEqual({ ok: true, instant: '2026-07-10T14:00:00Z', twice: false });
    expect(fromWall('2026-07-10T15:00', 'Europe/Berlin')).toEqual({ ok: true, instant: '2026-07-10T13:00:00Z', twice: false });
  });

  it('refuses the hour that spring skips', () => {
    expect(fromWall('2026-03-29T01:30', 'Europe/London')).toEqual({ ok: false, fault: 'skipped' });
    expect(fromWall('2026-03-29T02:00', 'Europe/London')).toEqual({ ok: true, instant: '2026-03-29T01:00:00Z', twice: false });
  });

  it('takes the first of the hour that autumn repeats, and says so', () => {
    expect(fromWall('2026-10-25T01:30', 'Europe/London')).toEqual({ ok: true, instant: '2026-10-25T00:30:00Z', twice: true });
  });

  it('refuses what is no time', () => {
    expect(fromWall('2026-02-30T10:00', 'Europe/London')).toEqual({ ok: false, fault: 'not_a_time' });
    expect(fromWall('2026-02-03T24:00', 'Europe/London')).toEqual({ ok: false, fault: 'not_a_time' });
    expect(fromWall('', 'Europe/London')).toEqual({ ok: false, fault: 'not_a_time' });
  });

  it('goes there and back for every hour around both changes', () => {
    for (const start of [Date.UTC(2026, 2, 28), Date.UTC(2026, 9, 24)]) {
      for (let h = 0; h < 60; h += 1) {
        const instant = new Date(start + h * 3_600_000).toISOString().replace('.000Z', 'Z');
        const read = fromWall(toWall(instant, 'Europe/London'), 'Europe/London');
        expect(read.ok).toBe(true);
        // Of a repeated hour the wall clock cannot tell which one it was.
        if (read.ok && !read.twice) expect(read.instant).toBe(instant);
      }
    }
  });
});

describe('days', () => {
  it('are the zone’s own', () => {
    expect(dayIn(new Date('2026-07-09T23:30:00Z'), 'Europe/London')).toBe('2026-07-10');
    expect(offsetMinutes(new Date('2026-07-09T23:30:00Z'), 'Asia/Kolkata')).toBe(330);
    expect(addDays('2026-02-28', 1)).toBe('2026-03-01');
    expect(addDays('2026-03-29', -1)).toBe('2026-03-28');
  });
});
