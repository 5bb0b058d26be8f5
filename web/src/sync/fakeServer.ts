// A server for tests: it keeps the same rules as the real one about order, repetition and bytes, and everything that
// can go wrong on the way to it goes wrong when the given randomness says so.
import { Refused, Unreachable, type Problem } from '../api/problem';
import type { Operation, Upload } from '../store/db';
import type { SentOutcome, Transport, UploadWatch } from './transport';

interface Handled {
  device: string;
  sequence: number;
  content: string;
  refused: Problem | null;
}

export interface Faults {
  /** From 0 to 1. */
  random(): number;
  requestLost: number;
  answerLost: number;
  trouble: number;
  cutAfterSome: number;
}

export const problem = (status: number, code: string, more: Record<string, unknown> = {}): Problem => ({ status, code, title: code, detail: code, errors: [], more });

export class FakeServer implements Transport {
  readonly handled = new Map<string, Handled>();
  readonly last = new Map<string, number>();
  /** Operations in the order they took effect. */
  readonly applied: { id: string; device: string; sequence: number; content: string }[] = [];
  readonly bytes = new Map<string, { offset: number; length: number; arrived: number }>();
  signedIn = true;
  /** Code of the refusal, with what it carries. */
  refuses: (o: Operation) => Problem | null = () => null;
  faults: Faults = { random: () => 1, requestLost: 0, answerLost: 0, trouble: 0, cutAfterSome: 0 };

  #onTheWay(): void {
    if (this.faults.random() < this.faults.requestLost) throw new Unreachable('lost on the way there');
    if (!this.signedIn) throw new Refused(problem(401, 'token_expired'));
    if (this.faults.random() < this.faults.trouble) throw new Refused(problem(503, 'internal'));
  }

  #back(): void {
    if (this.faults.random() < this.faults.answerLost) throw new Unreachable('lost on the way back');
  }

  async operations(device: string, operations: readonly Operation[]): Promise<SentOutcome[]> {
    this.#onTheWay();
    const outcomes: SentOutcome[] = [];
    let held: Problem | null = null;
    for (const operation of operations) {
      if (held === null && this.faults.random() < this.faults.trouble / 4) held = problem(503, 'internal');
      if (held) {
        outcomes.push({ id: operation.id, outcome: 'held_back', problem: held, receipt: null });
        continue;
      }
      const outcome = this.#one(device, operation);
      if (outcome.outcome === 'held_back') held = outcome.problem;
      outcomes.push(outcome);
    }
    await Promise.resolve();
    this.#back();
    return outcomes;
  }

  #one(device: string, operation: Operation): SentOutcome {
    const sequence = operation.sequence ?? 0;
    const content = JSON.stringify([operation.inspection, operation.deed]);
    const receipt = { operation: operation.id, sequence, received_at: '', content_sha256: content };
    const known = this.handled.get(operation.id);
    if (known) {
      if (known.content !== content || known.device !== device || known.sequence !== sequence) return { id: operation.id, outcome: 'refused', problem: problem(409, 'operation_reused'), receipt: null };
      return { id: operation.id, outcome: known.refused ? 'refused' : 'already_applied', problem: known.refused, receipt };
    }
    const expected = (this.last.get(device) ?? 0) + 1;
    if (sequence < expected) return { id: operation.id, outcome: 'refused', problem: problem(409, 'operation_reused'), receipt: null };
    if (sequence > expected) return { id: operation.id, outcome: 'held_back', problem: problem(409, 'operation_out_of_order', { expected }), receipt: null };
    const refused = this.refuses(operation);
    this.handled.set(operation.id, { device, sequence, content, refused });
    this.last.set(device, sequence);
    if (!refused) this.applied.push({ id: operation.id, device, sequence, content });
    return { id: operation.id, outcome: refused ? 'refused' : 'applied', problem: refused, receipt };
  }

  async upload(upload: Upload, blob: Blob, watch: UploadWatch): Promise<void> {
    this.#onTheWay();
    const url = `/uploads/${upload.photo}`;
    const known = this.bytes.get(upload.photo) ?? { offset: 0, length: blob.size, arrived: 0 };
    this.bytes.set(upload.photo, known);
    await watch.at(url);
    watch.progress(known.offset);
    while (known.offset < known.length) {
      if (this.faults.random() < this.faults.cutAfterSome) throw new Unreachable('cut while sending');
      known.offset += Math.min(4, known.length - known.offset);
      watch.progress(known.offset);
    }
    if (known.arrived === 0) known.arrived = 1;
    this.#back();
  }
}
