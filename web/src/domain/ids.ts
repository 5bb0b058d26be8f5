// Ids are made where the thing is made (UUIDv7, RFC 9562): time first, so that they sort by age.

/** A UUIDv7 from a clock reading in milliseconds and ten random bytes. */
export function uuidv7(now: number, random: Uint8Array): string {
  if (random.length < 10) throw new Error('a UUIDv7 needs ten random bytes');
  const bytes = new Uint8Array(16);
  let ms = BigInt(Math.trunc(now));
  for (let i = 5; i >= 0; i -= 1) {
    bytes[i] = Number(ms & 0xffn);
    ms >>= 8n;
  }
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
  bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
  const hex = Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/** A new id, now. */
export function newId(): string {
  return uuidv7(Date.now(), crypto.getRandomValues(new Uint8Array(10)));
}
