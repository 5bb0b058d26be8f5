// SHA-256, as lower-case hexadecimal.

export async function sha256Hex(bytes: BufferSource): Promise<string> {
  const digest = await crypto.subtle.digest('SHA-256', bytes);
  return Array.from(new Uint8Array(digest), (b) => b.toString(16).padStart(2, '0')).join('');
}

export function sha256OfText(text: string): Promise<string> {
  return sha256Hex(new TextEncoder().encode(text));
}
