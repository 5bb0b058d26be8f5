import { describe, expect, it } from 'vitest';
import { metresUp } from './briefing';
import { gaugeSteps, levelShare, lowest, sameLevel } from './gauge';
import { uuidv7 } from './ids';
import { bandOf, growth, parseSize, placeText } from './size';
import { begin, extend, isDrawn, pointIn, stepPen, type Stroke } from './strokes';

describe('gauge', () => {
  it('names every place of the needle in lowest terms', () => {
    expect(gaugeSteps(8).map((s) => s.label)).toEqual(['empty', '1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8', 'full']);
    expect(gaugeSteps(1).map((s) => s.label)).toEqual(['empty', 'full']);
    expect(() => gaugeSteps(0)).toThrow();
    expect(lowest(0, 4)).toEqual({ part: 0, of: 1 });
  });

  it('compares levels', () => {
    expect(sameLevel({ gauge: { part: 2, of: 4 } }, { gauge: { part: 4, of: 8 } })).toBe(true);
    expect(sameLevel({ gauge: { part: 2, of: 4 } }, { percent: { value: '50', half_width: '1' } })).toBe(false);
    expect(levelShare({ percent: { value: '25', half_width: '1' } })).toBe(0.25);
  });
});

describe('sizes', () => {
  const bands = [{ key: 'small', up_to_mm: 20 }, { key: 'medium', up_to_mm: 100 }, { key: 'large' }];

  it('fall in the band up to and including its end', () => {
    expect(bandOf(bands, 20)?.key).toBe('small');
    expect(bandOf(bands, 21)?.key).toBe('medium');
    expect(bandOf(bands, 9000)?.key).toBe('large');
  });

  it.each([
    ['40', { ok: true, mm: 40 }],
    ['', { ok: false, fault: 'empty' }],
    ['0', { ok: false, fault: 'zero' }],
    ['4.5', { ok: false, fault: 'not_whole' }],
    ['12001', { ok: false, fault: 'too_large' }],
  ])('reads %j', (typed, result) => {
    expect(parseSize(typed)).toEqual(result);
  });

  it('tell growth', () => {
    expect([growth(40, 40), growth(40, 55), growth(40, 30)]).toEqual(['same', 'grown', 'smaller']);
  });

  it('keep a place inside the photograph', () => {
    expect(placeText(0.333333)).toBe('0.3333');
    expect(placeText(-0.2)).toBe('0');
    expect(placeText(1.7)).toBe('1');
  });
});

describe('strokes', () => {
  const field = { left: 100, top: 50, width: 200, height: 100 };

  it('are shares of the field and stay inside it', () => {
    expect(pointIn(200, 100, field)).toEqual([0.5, 0.5]);
    expect(pointIn(0, 500, field)).toEqual([0, 1]);
  });

  it('leave out points that say nothing new', () => {
    let strokes: Stroke[] = begin([], [0.1, 0.1]);
    strokes = extend(strokes, [0.1001, 0.1]);
    strokes = extend(strokes, [0.3, 0.1]);
    expect(strokes).toEqual([[[0.1, 0.1], [0.3, 0.1]]]);
  });

  it('do not count a slip as a signature', () => {
    expect(isDrawn([])).toBe(false);
    expect(isDrawn([[[0.1, 0.1]], [[0.5, 0.5], [0.51, 0.5]]])).toBe(false);
    expect(isDrawn([[[0.1, 0.1], [0.4, 0.2]]])).toBe(true);
  });

  it('can be drawn with arrow keys', () => {
    expect(stepPen([0.5, 0.5], 'ArrowRight', 0.05)).toEqual([0.55, 0.5]);
    expect(stepPen([0, 0.5], 'ArrowLeft', 0.05)).toEqual([0, 0.5]);
    expect(stepPen([0.5, 0.5], 'x', 0.05)).toBeNull();
  });
});

describe('ids', () => {
  it('carry their time and version, and sort by it', () => {
    const random = new Uint8Array(10).fill(0xff);
    const id = uuidv7(0x0123456789ab, random);
    expect(id).toBe('01234567-89ab-7fff-bfff-ffffffffffff');
    expect(uuidv7(1000, random) < uuidv7(1001, new Uint8Array(10))).toBe(true);
    expect(() => uuidv7(0, new Uint8Array(3))).toThrow();
  });
});

describe('heights', () => {
  it('are never told smaller than they are', () => {
    expect(metresUp(2871)).toBe('2.88');
    expect(metresUp(2870)).toBe('2.87');
    expect(metresUp(3000)).toBe('3.00');
  });
});
