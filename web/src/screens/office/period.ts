/** The days of a month, so many months from the one a day is in; this month ends with that day. */
export function month(today: string, months: number): { from: string; to: string } {
  const [year, number] = today.split('-').map(Number) as [number, number];
  const first = new Date(Date.UTC(year, number - 1 + months, 1));
  const last = new Date(Date.UTC(year, number + months, 0));
  const text = (at: Date) => at.toISOString().slice(0, 10);
  return { from: text(first), to: months === 0 ? today : text(last) };
}
