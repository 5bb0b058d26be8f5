import type { Mark, Panel } from '../api/types';
import type { Words } from '../i18n/en';
import { humane } from './answerWords';

export function panelTitle(panels: readonly Panel[], key: string, lang: string): string {
  const title = panels.find((p) => p.key === key)?.title;
  return title?.[lang] ?? title?.['en'] ?? humane(key);
}

export function kindWord(kind: string, t: Words): string {
  return t.marks.kinds[kind] ?? humane(kind);
}

/** A mark in words: `scratch, 40 mm, Nearside wall`. */
export function markWords(mark: Pick<Mark, 'kind' | 'size_mm' | 'panel'>, panels: readonly Panel[], t: Words, lang: string): string {
  return t.marks.words(kindWord(mark.kind, t), mark.size_mm, panelTitle(panels, mark.panel, lang));
}
