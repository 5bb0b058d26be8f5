import { describe, expect, it } from 'vitest';
import { CARD_MM, measured } from './size';

const line = (x0: number, y0: number, x1: number, y1: number) => [{ x: x0, y: y0 }, { x: x1, y: y1 }] as const;

describe('measured', () => {
  it('is the card’s length times how often the mark is as long', () => {
    // Source of 85.60 mm: ISO/IEC 7810, ID-1.
    expect(CARD_MM).toBe(85.6);
    expect(measured(line(0, 0, 100, 0), CARD_MM, line(0, 0, 0, 50))).toBe(43);
    expect(measured(line(0, 0, 30, 40), CARD_MM, line(10, 10, 40, 50))).toBe(86);
    expect(measured(line(0, 0, 200, 0), 23, line(0, 0, 1, 0))).toBe(1);
  });

  it('says nothing of a point', () => {
    expect(measured(line(5, 5, 5, 5), CARD_MM, line(0, 0, 1, 1))).toBe(null);
    expect(measured(line(0, 0, 1, 1), CARD_MM, line(5, 5, 5, 5))).toBe(null);
  });
});
