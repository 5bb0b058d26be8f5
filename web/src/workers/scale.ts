// Photographs made small enough to send from a field, without anything in them but the picture, and hashed.

import type { Advice } from '../domain/sharp';

export interface ScaleRequest {
  id: number;
  file: Blob;
}

export type ScaleAnswer = ({ id: number; ok: true } & Scaled) | { id: number; ok: false; error: string };

export interface Scaled {
  blob: Blob;
  width: number;
  height: number;
  /** SHA-256 of the bytes of `blob`. */
  sha256: string;
  /** What the person may want to put right; null for a good picture. */
  advice: Advice | null;
}

let worker: Worker | null = null;
let last = 0;
const open = new Map<number, { done: (s: Scaled) => void; failed: (e: Error) => void }>();

function theWorker(): Worker {
  if (worker) return worker;
  worker = new Worker(new URL('./scale.worker.ts', import.meta.url), { type: 'module' });
  worker.addEventListener('message', (event: MessageEvent<ScaleAnswer>) => {
    const answer = event.data;
    const waiting = open.get(answer.id);
    open.delete(answer.id);
    if (answer.ok) waiting?.done({ blob: answer.blob, width: answer.width, height: answer.height, sha256: answer.sha256, advice: answer.advice });
    else waiting?.failed(new Error(answer.error));
  });
  worker.addEventListener('error', (event) => {
    for (const waiting of open.values()) waiting.failed(new Error(event.message));
    open.clear();
    worker = null;
  });
  return worker;
}

export function scalePhoto(file: Blob): Promise<Scaled> {
  return new Promise((done, failed) => {
    last += 1;
    open.set(last, { done, failed });
    const request: ScaleRequest = { id: last, file };
    theWorker().postMessage(request);
  });
}
