// Going through a list by keys: j and k or the arrows, from wherever the focus is.

/** Whether somebody is typing where a key was pressed, so that it is a letter and nothing else. */
export function typing(event: KeyboardEvent): boolean {
  return event.metaKey || event.ctrlKey || event.altKey || (event.target instanceof HTMLElement && event.target.closest('input, textarea, select, dialog') !== null);
}

/** Which of a list's rows has the focus or holds it; -1 when none does. */
export function rowAt(rows: readonly HTMLElement[]): number {
  return rows.findIndex((row) => row.contains(document.activeElement));
}

/** Moves the focus where a key asks for; false when the key asks for nothing. */
export function moveBy(event: KeyboardEvent, rows: readonly HTMLElement[]): boolean {
  const by = { j: 1, ArrowDown: 1, k: -1, ArrowUp: -1 }[event.key];
  if (by === undefined || rows.length === 0) return false;
  const at = rowAt(rows);
  const to = rows[at === -1 ? 0 : Math.min(rows.length - 1, Math.max(0, at + by))];
  to?.focus();
  to?.scrollIntoView({ block: 'nearest' });
  return true;
}
