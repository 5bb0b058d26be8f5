// Which operations go in one request, and what an answer about them means. Pure, so that it can be tested by the
// thousand.
import type { Problem } from '../api/problem';
import type { Operation } from '../store/db';
import type { Settled } from '../store/outbox';
import type { SentOutcome } from './transport';

export const MOST_OPERATIONS = 100;
/** Half of what the server takes, so that what wraps the operations never matters. */
export const MOST_BYTES = 512 * 1024;

/** The first operations that fit one request; always at least one. */
export function batchOf(waiting: readonly Operation[], sizeOf: (o: Operation) => number): Operation[] {
  const batch: Operation[] = [];
  let bytes = 0;
  for (const operation of waiting.slice(0, MOST_OPERATIONS)) {
    const size = sizeOf(operation);
    if (batch.length > 0 && bytes + size > MOST_BYTES) break;
    batch.push(operation);
    bytes += size;
    // What follows may belong to another walk-round, once the server has said who began it.
    if (operation.deed.kind === 'start') break;
  }
  return batch;
}

export type Next =
  /** More may be sent at once. */
  | { do: 'go_on' }
  /** The server wants another place in the sequence than this device can give: begin anew under another name. */
  | { do: 'renumber' }
  /** The server could not go on just now. */
  | { do: 'wait' };

export interface Reading {
  settled: Settled[];
  next: Next;
}

const OUT_OF_ORDER = 'operation_out_of_order';
const REUSED = 'operation_reused';

/** Passing trouble says nothing about the deed itself: signed out, throttled, or a server in trouble. */
export function isPassing(problem: Problem): boolean {
  return problem.status === 0 || problem.status === 401 || problem.status === 408 || problem.status === 429 || problem.status >= 500;
}

function expectedOf(problem: Problem | null): number | null {
  const expected = problem?.more['expected'];
  return typeof expected === 'number' ? expected : null;
}

export function readOutcomes(batch: readonly Operation[], outcomes: readonly SentOutcome[]): Reading {
  const settled: Settled[] = [];
  const by = new Map(outcomes.map((o) => [o.id, o]));
  for (const operation of batch) {
    const outcome = by.get(operation.id);
    if (!outcome) return { settled, next: { do: 'wait' } };
    switch (outcome.outcome) {
      case 'applied':
      case 'already_applied':
        settled.push({ operation, refused: null, receipt: outcome.receipt });
        break;
      case 'refused':
        if (outcome.problem?.code === REUSED) return { settled, next: { do: 'renumber' } };
        settled.push({ operation, refused: outcome.problem ?? lacking(operation.id), receipt: outcome.receipt });
        break;
      case 'held_back': {
        const expected = expectedOf(outcome.problem);
        if (outcome.problem?.code === OUT_OF_ORDER && expected !== null && expected !== operation.sequence) {
          // What it waits for went already and is not here any more, or was never given: only a new name helps.
          const here = batch.some((o) => o.sequence === expected);
          if (!here) return { settled, next: { do: 'renumber' } };
        }
        return { settled, next: settled.length > 0 ? { do: 'go_on' } : { do: 'wait' } };
      }
    }
  }
  return { settled, next: { do: 'go_on' } };
}

function lacking(id: string): Problem {
  return { status: 422, code: 'refused', title: 'Refused', detail: `The server refused ${id} and did not say why.`, errors: [], more: {} };
}
