// What the engine asks of the way to the server. The real one speaks HTTP; tests bring one with faults.
import type { Problem } from '../api/problem';
import type { Operation, Receipt, Upload } from '../store/db';

export type OutcomeKind = 'applied' | 'already_applied' | 'refused' | 'held_back';

export interface SentOutcome {
  id: string;
  outcome: OutcomeKind;
  problem: Problem | null;
  receipt: Receipt | null;
}

export interface UploadWatch {
  /** Where the server keeps the bytes: written down before any are sent. */
  at(url: string): Promise<void>;
  progress(sent: number): void;
}

/** Every call throws `Refused` or `Unreachable`, besides what it gives. */
export interface Transport {
  operations(device: string, operations: readonly Operation[]): Promise<SentOutcome[]>;
  upload(upload: Upload, blob: Blob, watch: UploadWatch): Promise<void>;
}
