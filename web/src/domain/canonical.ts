// JSON in the one form that has a hash (RFC 8785): members sorted by UTF-16 code units, no white space, numbers and
// text as ECMAScript writes them.

export type Json = null | boolean | number | string | readonly Json[] | { readonly [key: string]: Json | undefined };

const HALF_PAIR = /\p{Surrogate}/u;

export function canonical(value: Json): string {
  if (value === null || typeof value === 'boolean') return JSON.stringify(value);
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) throw new Error('JSON has no such number');
    return JSON.stringify(value);
  }
  if (typeof value === 'string') {
    if (HALF_PAIR.test(value)) throw new Error('text with half a surrogate pair has no canonical form');
    return JSON.stringify(value);
  }
  if (isList(value)) return `[${value.map(canonical).join(',')}]`;
  const members = Object.entries(value)
    .filter((member): member is [string, Json] => member[1] !== undefined)
    // The language's own order of text is by UTF-16 code units.
    .sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0));
  return `{${members.map(([key, member]) => `${canonical(key)}:${canonical(member)}`).join(',')}}`;
}

function isList(value: Json): value is readonly Json[] {
  return Array.isArray(value);
}
