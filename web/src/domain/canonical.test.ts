import { describe, expect, it } from 'vitest';
import vectors from '../../../fixtures/reference/crypto_jcs_rfc8785.json';
import { canonical, type Json } from './canonical';
import { shortest } from './decimalText';
import { sha256OfText } from './hash';

/** The double of a vector, from its bits. */
function double(hex: string): number {
  const view = new DataView(new ArrayBuffer(8));
  view.setBigUint64(0, BigInt(`0x${hex}`));
  return view.getFloat64(0);
}

describe('canonical JSON (RFC 8785)', () => {
  it('writes the sample of the standard, and hashes it', async () => {
    const text = canonical(JSON.parse(vectors.sample_input) as Json);
    const hex = Array.from(new TextEncoder().encode(text), (b) => b.toString(16).padStart(2, '0')).join('');
    expect(hex).toBe(vectors.sample_output_utf8_hex);
    expect(await sha256OfText(text)).toBe(vectors.sample_output_sha256);
  });

  it('sorts members by UTF-16 code units', () => {
    const text = canonical(JSON.parse(vectors.sort_input_json_ascii) as Json);
    expect(Object.values(JSON.parse(text) as Record<string, string>).sort()).toEqual([...vectors.sort_expected_value_order].sort());
    const order = [...text.matchAll(/:"([^"]*)"/gu)].map((m) => m[1]);
    expect(order).toEqual(vectors.sort_expected_value_order);
  });

  it('writes numbers as the standard’s table does, and refuses what is none', () => {
    for (const { ieee754_hex, json } of vectors.numbers) {
      const value = double(ieee754_hex);
      if (json === null) expect(() => canonical(value), ieee754_hex).toThrow();
      else expect(canonical(value), ieee754_hex).toBe(json);
    }
    expect(() => canonical(Number.NaN)).toThrow();
    expect(() => canonical(Number.POSITIVE_INFINITY)).toThrow();
  });

  it('refuses half a surrogate pair, and leaves out what is undefined', () => {
    expect(() => canonical('\ud800')).toThrow();
    expect(canonical({ b: 1, a: undefined, c: [true, null] })).toBe('{"b":1,"c":[true,null]}');
  });
});

describe('shortest decimal', () => {
  it('is the same number in the fewest characters', () => {
    const pairs: [string, string][] = [
      ['14.20', '14.2'],
      ['14.00', '14'],
      ['05', '5'],
      ['0', '0'],
      ['-0.0', '0'],
      ['-1.50', '-1.5'],
      ['0.050', '0.05'],
      ['100', '100'],
      ['full', 'full'],
    ];
    for (const [text, short] of pairs) expect(shortest(text), text).toBe(short);
  });
});
