// Notices that the database of this device has vanished: what it held is noted beside it, in the browser's other store.
import type { Unsent } from '../store/outbox';

const KEY = 'handsel-device';

interface Note {
  device: string;
  unsent: number;
}

export type Loss = { is: 'none' } | { is: 'gone'; unsent: number };

function read(store: Storage): Note | null {
  const text = store.getItem(KEY);
  if (text === null) return null;
  try {
    const note = JSON.parse(text) as Partial<Note>;
    return typeof note.device === 'string' && typeof note.unsent === 'number' ? { device: note.device, unsent: note.unsent } : null;
  } catch (error) {
    // Somebody else's text under our name says nothing about our database.
    reportError(error);
    return null;
  }
}

/** Whether the device of the note is still the device of the database. */
export function compare(store: Storage, device: string): Loss {
  const note = read(store);
  if (note === null || note.device === device) return { is: 'none' };
  return { is: 'gone', unsent: note.unsent };
}

export function keepNote(store: Storage, device: string, unsent: Unsent): void {
  const note: Note = { device, unsent: unsent.records + unsent.photos + unsent.refused };
  store.setItem(KEY, JSON.stringify(note));
}
