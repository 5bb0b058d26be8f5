// What stands in a sealed record, in words: for two of them side by side, where they differ.
import type { Answer, Panel, Tariff } from '../api/types';
import type { Lang } from '../i18n/index.svelte';
import type { Words } from '../i18n/en';
import type { TwoWords } from '../i18n/two';
import { answerWords } from './answerWords';
import type { Json } from './canonical';
import { showDecimal } from './decimal';
import type { Document } from './differs';
import { markWords } from './markWords';
import { shortHash } from './record';
import { showDateTime } from './zone';

export interface Around {
  t: Words;
  two: TwoWords;
  lang: Lang;
  zone: string;
  tariff: Tariff | null;
  panels: readonly Panel[];
  /** What a question, a viewpoint or a topic is called. */
  titleOf: (key: string) => string;
  /** A mark in words, where either record or the register knows it. */
  markOf: (id: string) => string | undefined;
}

const isDocument = (value: Json | undefined): value is Document => typeof value === 'object' && value !== null && !Array.isArray(value);

function string(of: Document, member: string): string | undefined {
  const value = of[member];
  return typeof value === 'string' ? value : undefined;
}

function count(of: Document, member: string): number {
  const value = of[member];
  return Array.isArray(value) ? value.length : 0;
}

const INSTANT = /^\d{4}-\d{2}-\d{2}T[\d:.]+Z$/u;

function percent(share: string | undefined, lang: string): string {
  return share === undefined ? '?' : showDecimal(String(Math.round(Number(share) * 1000) / 10), lang);
}

/** A mark as a record holds it, in words. */
export function markInRecord(mark: Document, around: Pick<Around, 't' | 'lang' | 'panels'>): string {
  return markWords({ kind: string(mark, 'kind') ?? '', size_mm: Number(mark['size_mm']), panel: string(mark, 'panel') ?? '' }, around.panels, around.t, around.lang);
}

/** What an item of a record is about, without which part of the record it is. */
export function recordSubject(part: string, item: Document, around: Around): string {
  if (part === 'marks') return markInRecord(item, around);
  if (part === 'sightings') return around.markOf(string(item, 'mark') ?? '') ?? '';
  const subject = isDocument(item['subject']) ? item['subject'] : item;
  const mark = string(subject, 'mark');
  if (mark !== undefined) return around.markOf(mark) ?? '';
  const key = string(subject, 'checkpoint') ?? string(subject, 'viewpoint') ?? string(subject, 'topic');
  return key === undefined ? '' : around.titleOf(key);
}

/** What a record says at one place, one thing a line. */
export function recordWords(part: string, value: Json | null, around: Around): string {
  const { t, two, lang } = around;
  const time = (at: string) => showDateTime(at, around.zone, lang);
  if (value === null) return two.nothing;
  if (typeof value === 'string') {
    if (INSTANT.test(value)) return time(value);
    return value === 'departure' || value === 'return' || value === 'interim' ? t.leg[value] : value;
  }
  if (!isDocument(value)) return JSON.stringify(value);
  const note = string(value, 'note');
  const photos = count(value, 'photos');
  const more = [...(note === undefined ? [] : [two.noted(note)]), ...(photos === 0 ? [] : [two.photos(photos)])];
  const lines = ((): (string | undefined)[] => {
    switch (part) {
      case 'entries': {
        const recorded = string(value, 'recorded_at');
        const replaced = count(value, 'replaces');
        return [answerWords(value['answer'] as unknown as Answer, t, lang, around.tariff), ...more, recorded === undefined ? undefined : two.recorded(time(recorded)), replaced === 0 ? undefined : two.replaces(replaced)];
      }
      case 'photos': {
        const [taken, hash] = [string(value, 'taken_at'), string(value, 'sha256')];
        return [taken === undefined ? undefined : two.taken(time(taken)), hash === undefined ? undefined : two.picture(shortHash(hash))];
      }
      case 'marks': {
        const depth = t.marks.depths[string(value, 'depth') as keyof typeof t.marks.depths];
        return [markInRecord(value, around), depth, two.seenFrom(around.titleOf(string(value, 'viewpoint') ?? '')), two.place(percent(string(value, 'x'), lang), percent(string(value, 'y'), lang)), ...more];
      }
      case 'sightings':
        return [two.measured(showDecimal(String(value['size_mm']), lang)), ...more];
      case 'briefings': {
        const [reason, acknowledged, shown] = [string(value, 'override_reason'), string(value, 'acknowledged_at'), string(value, 'shown_at')];
        if (reason !== undefined) return [two.leftOut(reason)];
        return [acknowledged !== undefined ? two.acknowledged(time(acknowledged)) : shown !== undefined ? two.shown(time(shown)) : two.unshown];
      }
      case 'absence': {
        const noted = string(value, 'noted_at');
        return [string(value, 'reason'), noted === undefined ? undefined : two.recorded(time(noted))];
      }
      case 'template':
        return [two.version(String(value['version']))];
      default:
        return [JSON.stringify(value)];
    }
  })();
  return lines.filter((line) => line !== undefined).join('\n');
}
