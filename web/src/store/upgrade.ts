// From the first version of the database to the second: nothing that was not sent yet is left behind.
import type { Deed } from '../domain/deeds';
import { newId } from '../domain/ids';
import { sha256Hex } from '../domain/hash';
import type { Db, Device, Operation, UpgradeTx } from './db';

/** How a photograph was written down in the first version. */
interface FirstPhoto {
  kind: 'photo';
  id: string;
  subject: Extract<Deed, { kind: 'photo' }>['subject'];
  takenAt: string;
  width: number;
  height: number;
  bytes: number;
}

/**
 * Gives what waits its place in the sequence, in the order it was done, and every photograph a record of its upload.
 * Hashes take longer than the transaction of an upgrade may; `completeHashes` adds them afterwards.
 */
export async function upgradeFromFirst(tx: UpgradeTx): Promise<void> {
  const device: Device = { id: newId(), next: 1 };
  const operations = tx.objectStore('operations');
  // The first version kept operations by an id that sorts in the order they were done.
  for (const old of await operations.getAll()) {
    const operation: Operation = { ...old };
    if (operation.state === 'waiting') {
      operation.sequence = device.next;
      device.next += 1;
    }
    if (operation.deed.kind === 'photo') {
      const first = operation.deed as unknown as FirstPhoto;
      const blob = await tx.objectStore('blobs').get(first.id);
      operation.deed = {
        kind: 'photo',
        id: first.id,
        subject: first.subject,
        taken_at: first.takenAt,
        sha256: '',
        bytes: blob?.size ?? first.bytes,
        width: first.width,
        height: first.height,
        content_type: blob?.type ?? 'image/jpeg',
      };
      await tx.objectStore('uploads').put({
        photo: first.id,
        inspection: operation.inspection,
        bytes: blob?.size ?? first.bytes,
        sha256: '',
        announced: false,
        sent: 0,
        url: null,
        state: 'waiting',
      });
    }
    await operations.put(operation);
  }
  await tx.objectStore('kept').put(device, 'device');
}

/** Hashes the photographs that were taken by the first version. Nothing is sent before this is done. */
export async function completeHashes(db: Db): Promise<void> {
  for (const upload of (await db.getAll('uploads')).filter((u) => u.sha256 === '')) {
    const blob = await db.get('blobs', upload.photo);
    if (!blob) continue;
    const sha256 = await sha256Hex(await blob.arrayBuffer());
    const tx = db.transaction(['operations', 'uploads'], 'readwrite');
    await tx.objectStore('uploads').put({ ...upload, sha256 });
    for (const operation of await tx.objectStore('operations').index('inspection').getAll(upload.inspection)) {
      if (operation.deed.kind === 'photo' && operation.deed.id === upload.photo) {
        await tx.objectStore('operations').put({ ...operation, deed: { ...operation.deed, sha256 } });
      }
    }
    await tx.done;
  }
}
