// Where two records of one inspection differ: the device's and the server's, part by part.
import { canonical, type Json } from './canonical';

export interface Difference {
  /** The member of the record. */
  part: string;
  /** Which item of a list, by its id; empty where the part is no list. */
  key: string;
  /** Null where that side has nothing of the kind. */
  device: Json | null;
  server: Json | null;
}

export type Document = { readonly [key: string]: Json | undefined };

const isObject = (value: Json | undefined): value is Document => typeof value === 'object' && value !== null && !Array.isArray(value);

/** What tells the items of a list apart. */
function keyOf(item: Json): string {
  if (!isObject(item)) return canonical(item);
  const key = item['id'] ?? item['topic'] ?? item['mark'];
  return typeof key === 'string' ? key : canonical(item);
}

function same(a: Json | null, b: Json | null): boolean {
  return canonical(a) === canonical(b);
}

export function differences(device: Document, server: Document): Difference[] {
  const parts = [...new Set([...Object.keys(device), ...Object.keys(server)])];
  return parts.flatMap((part): Difference[] => {
    const [here, there] = [device[part] ?? null, server[part] ?? null];
    if (same(here, there)) return [];
    if (!Array.isArray(here) || !Array.isArray(there)) return [{ part, key: '', device: here, server: there }];
    const [mine, theirs] = [here, there].map((list) => new Map((list as readonly Json[]).map((item) => [keyOf(item), item])));
    const keys = [...new Set([...(mine?.keys() ?? []), ...(theirs?.keys() ?? [])])];
    return keys
      .map((key): Difference => ({ part, key, device: mine?.get(key) ?? null, server: theirs?.get(key) ?? null }))
      .filter((d) => !same(d.device, d.server));
  });
}
