// Decimals as the server writes them: the shortest text of the same number.

/** `14.20` is `14.2`, `05` is `5`, `-0.0` is `0`; what is no decimal stays as it is. */
export function shortest(text: string): string {
  const match = /^(-?)0*(\d+)(?:\.(\d*?)0*)?$/u.exec(text.trim());
  if (!match) return text;
  const [, sign = '', whole = '', rest = ''] = match;
  const number = rest === '' ? whole : `${whole}.${rest}`;
  return number === '0' ? '0' : sign + number;
}
