/** Bytes as megabytes of a million, to one place. */
export function megabytes(bytes: number, lang: string): string {
  return new Intl.NumberFormat(lang, { minimumFractionDigits: 1, maximumFractionDigits: 1 }).format(bytes / 1_000_000);
}
