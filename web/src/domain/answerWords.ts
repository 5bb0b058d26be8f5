// Answers in words, as they stand beside the question at return and in lists.
import type { Answer, Level, Tariff, Text } from '../api/types';
import type { Words } from '../i18n/en';
import { showDecimal } from './decimal';
import { lowest } from './gauge';

export function levelWords(level: Level, t: Words, lang: string): string {
  if ('percent' in level) {
    return `${showDecimal(level.percent.value, lang)} % (${t.answer.plusMinus(showDecimal(level.percent.half_width, lang), '%')})`;
  }
  const { part, of } = level.gauge;
  if (part === 0) return t.answer.empty;
  if (part === of) return t.answer.full;
  const low = lowest(part, of);
  return `${low.part}/${low.of}`;
}

/** The title of a cleanliness grade in the tariff. */
export function gradeTitle(tariff: Tariff | null, grade: string): Text | undefined {
  return (tariff?.cleanliness ?? []).flatMap((c) => c.grades).find((g) => g.key === grade)?.title;
}

export function answerWords(answer: Answer, t: Words, lang: string, tariff: Tariff | null): string {
  const d = (value: string) => showDecimal(value, lang);
  const a = t.answer;
  switch (answer.kind) {
    case 'condition':
      return t.condition[answer.state];
    case 'odometer':
      return `${d(answer.value)} ${a[answer.unit]}`;
    case 'fuel':
      return levelWords(answer.level, t, lang);
    case 'water':
      return `${levelWords(answer.level, t, lang)}, ${answer.drained ? a.drainedShort : a.notDrained}`;
    case 'cylinder':
      return `${a.cylinder(d(answer.gross_kg), d(answer.tare_kg))} (${a.plusMinus(d(answer.half_width_kg), 'kg')})`;
    case 'leisure_battery':
      return `${d(answer.volts)} V (${a.plusMinus(d(answer.half_width), 'V')}), ${a.atRest(answer.minutes_at_rest)}`;
    case 'starter_battery':
      return `${d(answer.volts)} V (${a.plusMinus(d(answer.half_width), 'V')})`;
    case 'cassette':
      return `${a.cassette[answer.state]}, ${answer.dosed ? a.dosedShort : a.notDosed}`;
    case 'tread':
      return `${d(answer.mm)} mm (${a.plusMinus(d(answer.half_width), 'mm')})`;
    case 'keys':
      return a.keysShort(answer.pieces);
    case 'count':
      return a.piecesShort(answer.pieces);
    case 'cleanliness': {
      const title = gradeTitle(tariff, answer.grade);
      return title?.[lang] ?? title?.['en'] ?? answer.grade;
    }
  }
}

/** A data name made readable where nobody has given it words: `stone_guard` becomes `stone guard`. */
export function humane(key: string): string {
  return key.replace(/_/gu, ' ');
}
