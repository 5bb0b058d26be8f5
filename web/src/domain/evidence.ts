// Which photographs belong to a line.
import type { InspectionView, Line, PhotoView } from '../api/types';

/**
 * The photographs of one inspection that a line's evidence points to. A mark's line also gets the photographs of the
 * mark and of its viewpoint, so that before and after stand side by side even when evidence names only one of them.
 */
export function evidencePhotos(line: Pick<Line, 'key' | 'evidence'>, view: InspectionView | null): PhotoView[] {
  if (!view) return [];
  const refs = new Set(line.evidence.flatMap((e) => e.refs));
  const entries = view.entries.filter((e) => refs.has(e.id));
  const named = new Set(entries.flatMap((e) => e.photos ?? []));
  const asked = new Set(entries.map((e) => e.checkpoint));
  return view.photos.filter(
    (p) =>
      refs.has(p.id) ||
      named.has(p.id) ||
      (p.subject.of === 'checkpoint' && asked.has(p.subject.checkpoint)) ||
      (p.subject.of === 'mark' && line.key.includes(p.subject.mark)),
  );
}
