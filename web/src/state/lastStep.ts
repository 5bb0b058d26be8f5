// The step of a walk-round that was on the screen last, so that the list of stops opens where somebody left it. Kept
// for as long as the browser keeps this page: a phone may put the page away while its camera is open.
const key = (inspection: string) => `last-step/${inspection}`;

export function rememberStep(inspection: string, step: string): void {
  sessionStorage.setItem(key(inspection), step);
}

export function lastStep(inspection: string): string | null {
  return sessionStorage.getItem(key(inspection));
}
