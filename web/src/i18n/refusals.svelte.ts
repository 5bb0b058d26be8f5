// The German names of refusals, fetched when the first is shown; until then the server's own stand there.
let asked = false;
let titles = $state.raw<Readonly<Record<string, string>>>({});

export function refusalTitles(): Readonly<Record<string, string>> {
  if (!asked) {
    asked = true;
    import('./de.refusals').then(
      (m) => (titles = m.deRefusals),
      () => (asked = false),
    );
  }
  return titles;
}
