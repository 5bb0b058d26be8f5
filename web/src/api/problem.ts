// What a refused or failed request tells: problem details (RFC 9457), or that the server was not reached at all.

export interface Fault {
  pointer: string;
  detail: string;
}

export interface Problem {
  status: number;
  /** Stable; the words shown beside it depend on it. */
  code: string;
  title: string;
  detail: string;
  errors: Fault[];
  /** Further members, which depend on the code. */
  more: Readonly<Record<string, unknown>>;
}

/** The server answered, and said no. */
export class Refused extends Error {
  constructor(readonly problem: Problem) {
    super(`${problem.code}: ${problem.detail}`);
    this.name = 'Refused';
  }
}

/** No answer came: no signal, or nobody at the other end. */
export class Unreachable extends Error {
  constructor(cause: unknown) {
    super('the server was not reached', { cause });
    this.name = 'Unreachable';
  }
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function faults(value: unknown): Fault[] {
  if (!Array.isArray(value)) return [];
  return value.filter(isRecord).map((f) => ({ pointer: String(f['pointer'] ?? ''), detail: String(f['detail'] ?? '') }));
}

/** Reads the body of a refusal. Something between us and the server may answer too, with no problem in it. */
export function problemOf(status: number, body: unknown): Problem {
  if (isRecord(body) && typeof body['code'] === 'string') {
    const { code, title, detail, errors, ...more } = body;
    return { status, code, title: String(title ?? code), detail: String(detail ?? ''), errors: faults(errors), more };
  }
  return { status, code: `http_${status}`, title: `HTTP ${status}`, detail: '', errors: [], more: {} };
}

/** What to say of a refusal in one place: what is wrong with which value, where the server says so; else its words. */
export function problemWords(problem: Problem): string {
  const faults = problem.errors.map((e) => e.detail).filter((d) => d !== '');
  return faults.length > 0 ? faults.join(' ') : problem.detail === '' ? problem.title : problem.detail;
}

/** What a refusal is called in the words of the screen; where it has none, the server's, which are English. */
export function problemTitle(problem: Problem, titles: Readonly<Record<string, string>>): string {
  return titles[problem.code] ?? problem.title;
}

/** What went wrong, for showing. Anything that is neither is a fault of this program and is passed on. */
export function shownProblem(error: unknown): Problem | 'unreachable' {
  if (error instanceof Refused) return error.problem;
  if (error instanceof Unreachable) return 'unreachable';
  throw error;
}
