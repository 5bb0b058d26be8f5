// Where on the screens something is: addresses for jumping to what is open or was refused.
import type { OpenPoint } from '../api/types';
import type { Deed } from './deeds';

export function stepPlace(inspection: string, key: string): string {
  return `/inspections/${inspection}/steps/${encodeURIComponent(key)}`;
}

/** Where an open point is put right; null when that is on the signing screen itself. */
export function openPlace(inspection: string, point: Pick<OpenPoint, 'kind' | 'key'>): string | null {
  switch (point.kind) {
    case 'viewpoint':
    case 'checkpoint':
    case 'photo':
    case 'item':
    case 'conflict':
      return stepPlace(inspection, point.key);
    case 'briefing':
      return `/inspections/${inspection}/briefing?topic=${encodeURIComponent(point.key)}`;
    case 'handed_over':
    case 'signature':
      return null;
  }
}

export function problemPlace(inspection: string, deed: Deed): string {
  switch (deed.kind) {
    case 'entry':
      return stepPlace(inspection, deed.input.checkpoint);
    case 'photo':
      if (deed.subject.of === 'viewpoint') return stepPlace(inspection, deed.subject.viewpoint);
      if (deed.subject.of === 'checkpoint') return stepPlace(inspection, deed.subject.checkpoint);
      return `/inspections/${inspection}`;
    case 'mark':
      return `/inspections/${inspection}/marks/${encodeURIComponent(deed.input.viewpoint)}`;
    case 'briefing':
      return `/inspections/${inspection}/briefing?topic=${encodeURIComponent(deed.topic)}`;
    case 'handover':
    case 'signature':
    case 'absence':
    case 'sign':
      return `/inspections/${inspection}/sign`;
    case 'addendum':
      return `/inspections/${inspection}/addenda`;
    case 'start':
    case 'entry_removed':
    case 'photo_removed':
    case 'mark_removed':
    case 'sighting':
    case 'sighting_removed':
      return `/inspections/${inspection}`;
  }
}
