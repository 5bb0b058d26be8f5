// Answers as they stand in a form while somebody types, and as the server takes them.
import type { Answer, Checkpoint, Condition, CassetteState, InventoryItem, Level, Vehicle } from '../api/types';
import { parseDecimal, parseOdometer, typedDecimal, type DecimalFault } from './decimal';

/** Every field of every kind is text; empty means not entered. */
export type Form = Readonly<Record<string, string>>;
export type FormFault = DecimalFault | 'required';
export type ReadForm = { ok: true; answer: Answer } | { ok: false; faults: Readonly<Record<string, FormFault>> };

/** The kind of answer a step takes. */
export type AnswerKind = Answer['kind'];

export function kindOfStep(step: { kind: 'checkpoint'; checkpoint: Checkpoint } | { kind: 'item'; item: InventoryItem }): AnswerKind {
  return step.kind === 'item' ? 'count' : step.checkpoint.ask.kind;
}

/** How far common instruments can be off, until somebody enters their own. */
const HALF_WIDTHS: Partial<Record<AnswerKind, string>> = {
  cylinder: '0.1',
  leisure_battery: '0.05',
  starter_battery: '0.05',
  tread: '0.5',
  fuel: '1',
  water: '5',
};

/** Water panels show quarters where the vehicle says nothing else. */
const WATER_DIVISIONS = 4;

export interface FormContext {
  vehicle: Pick<Vehicle, 'cylinders' | 'odometer_unit' | 'fuel_gauge_divisions'>;
  lang: string;
  /** The half-width last entered on this device for this kind, as the server keeps it. */
  halfWidth?: string | undefined;
  /** Departure's answer to the same question: a level is read the same way again. */
  before?: Answer | undefined;
}

/** The form as it is first shown: what is known of the vehicle, and no reading. */
export function emptyForm(kind: AnswerKind, slot: string | null, context: FormContext): Form {
  const { vehicle, before } = context;
  const level = before !== undefined && before.kind === kind && 'level' in before ? before.level : undefined;
  const earlier = level !== undefined && 'percent' in level ? level.percent.half_width : undefined;
  const half = typedDecimal(context.halfWidth ?? earlier ?? HALF_WIDTHS[kind] ?? '', context.lang);
  switch (kind) {
    case 'fuel': {
      if (level !== undefined) return { ...sameWay(level), half_width: half };
      const of = vehicle.fuel_gauge_divisions;
      return of === null ? { mode: 'percent', half_width: half } : { mode: 'gauge', of: String(of), half_width: half };
    }
    case 'water':
      return { ...(level === undefined ? { mode: 'gauge', of: String(WATER_DIVISIONS) } : sameWay(level)), half_width: half, drained: 'no' };
    case 'cylinder': {
      const place = vehicle.cylinders.find((c) => c.slot === slot);
      return {
        tare_kg: place?.tare_kg == null ? '' : typedDecimal(place.tare_kg, context.lang),
        net_fill_kg: place === undefined ? '' : typedDecimal(place.net_fill_kg, context.lang),
        half_width: half,
      };
    }
    case 'cassette':
      return { dosed: 'no' };
    case 'leisure_battery':
    case 'starter_battery':
    case 'tread':
      return { half_width: half };
    case 'odometer':
    case 'condition':
    case 'keys':
    case 'count':
    case 'cleanliness':
      return {};
  }
}

/** How a level was read, without what it said. */
function sameWay(level: Level): Record<string, string> {
  return 'gauge' in level ? { mode: 'gauge', of: String(level.gauge.of) } : { mode: 'percent' };
}

function levelForm(level: Level, lang: string): Record<string, string> {
  if ('gauge' in level) return { mode: 'gauge', part: String(level.gauge.part), of: String(level.gauge.of) };
  return { mode: 'percent', percent: typedDecimal(level.percent.value, lang), half_width: typedDecimal(level.percent.half_width, lang) };
}

/** The form that says what an answer says, for changing it. */
export function formOf(answer: Answer, lang: string): Form {
  const d = (value: string) => typedDecimal(value, lang);
  switch (answer.kind) {
    case 'condition':
      return { state: answer.state };
    case 'odometer':
      return { value: d(answer.value) };
    case 'fuel':
      return levelForm(answer.level, lang);
    case 'water':
      return { ...levelForm(answer.level, lang), drained: answer.drained ? 'yes' : 'no' };
    case 'cylinder':
      return {
        gross_kg: d(answer.gross_kg),
        tare_kg: d(answer.tare_kg),
        net_fill_kg: d(answer.net_fill_kg),
        half_width: d(answer.half_width_kg),
      };
    case 'leisure_battery':
      return {
        volts: d(answer.volts),
        half_width: d(answer.half_width),
        minutes: String(answer.minutes_at_rest),
        temperature: answer.temperature_c == null ? '' : d(answer.temperature_c),
      };
    case 'starter_battery':
      return { volts: d(answer.volts), half_width: d(answer.half_width) };
    case 'cassette':
      return { state: answer.state, dosed: answer.dosed ? 'yes' : 'no' };
    case 'tread':
      return { mm: d(answer.mm), half_width: d(answer.half_width) };
    case 'keys':
    case 'count':
      return { pieces: String(answer.pieces) };
    case 'cleanliness':
      return { grade: answer.grade };
  }
}

class Reader {
  readonly faults: Record<string, FormFault> = {};
  constructor(
    private readonly form: Form,
    private readonly lang: string,
  ) {}

  has(field: string): boolean {
    return (this.form[field] ?? '').trim() !== '';
  }

  text(field: string): string {
    const value = this.form[field] ?? '';
    if (value === '') this.faults[field] = 'required';
    return value;
  }

  decimal(field: string, allowNegative = false): string {
    const read = parseDecimal(this.form[field] ?? '', this.lang, allowNegative);
    if (read.ok) return read.value;
    this.faults[field] = read.fault;
    return '0';
  }

  distance(field: string): string {
    const read = parseOdometer(this.form[field] ?? '', this.lang);
    if (read.ok) return read.value;
    this.faults[field] = read.fault;
    return '0';
  }

  whole(field: string): number {
    const read = parseDecimal(this.form[field] ?? '', this.lang);
    if (read.ok && !read.value.includes('.')) return Number(read.value);
    this.faults[field] = read.ok ? 'not_a_number' : read.fault;
    return 0;
  }

  level(): Level {
    if (this.form['mode'] === 'percent') {
      return { percent: { value: this.decimal('percent'), half_width: this.decimal('half_width') } };
    }
    return { gauge: { part: this.whole('part'), of: this.whole('of') } };
  }

  yes(field: string): boolean {
    return this.form[field] === 'yes';
  }
}

function answerFrom(kind: AnswerKind, r: Reader, vehicle: FormContext['vehicle']): Answer {
  switch (kind) {
    case 'condition':
      return { kind, state: r.text('state') as Condition };
    case 'odometer':
      return { kind, value: r.distance('value'), unit: vehicle.odometer_unit };
    case 'fuel':
      return { kind, level: r.level() };
    case 'water':
      return { kind, level: r.level(), drained: r.yes('drained') };
    case 'cylinder':
      return {
        kind,
        gross_kg: r.decimal('gross_kg'),
        tare_kg: r.decimal('tare_kg'),
        net_fill_kg: r.decimal('net_fill_kg'),
        half_width_kg: r.decimal('half_width'),
      };
    case 'leisure_battery': {
      const base = { kind, volts: r.decimal('volts'), half_width: r.decimal('half_width'), minutes_at_rest: r.whole('minutes') };
      return r.has('temperature') ? { ...base, temperature_c: r.decimal('temperature', true) } : base;
    }
    case 'starter_battery':
      return { kind, volts: r.decimal('volts'), half_width: r.decimal('half_width') };
    case 'cassette':
      return { kind, state: r.text('state') as CassetteState, dosed: r.yes('dosed') };
    case 'tread':
      return { kind, mm: r.decimal('mm'), half_width: r.decimal('half_width') };
    case 'keys':
    case 'count':
      return { kind, pieces: r.whole('pieces') };
    case 'cleanliness':
      return { kind, grade: r.text('grade') };
  }
}

/** Reads the form, or says what is wrong with which field. */
export function readForm(kind: AnswerKind, form: Form, vehicle: FormContext['vehicle'], lang: string): ReadForm {
  const reader = new Reader(form, lang);
  const answer = answerFrom(kind, reader, vehicle);
  return Object.keys(reader.faults).length === 0 ? { ok: true, answer } : { ok: false, faults: reader.faults };
}

/** The half-width in an answer, to offer it again with the next reading of the same kind. */
export function halfWidthOf(answer: Answer): string | null {
  switch (answer.kind) {
    case 'cylinder':
      return answer.half_width_kg;
    case 'leisure_battery':
    case 'starter_battery':
    case 'tread':
      return answer.half_width;
    case 'fuel':
    case 'water':
      return 'percent' in answer.level ? answer.level.percent.half_width : null;
    default:
      return null;
  }
}

/** Conditions that say nothing without words: what is wrong, or why it was not looked at. */
export function noteNeeded(kind: AnswerKind, form: Form): 'wrong' | 'whyNot' | null {
  if (kind !== 'condition') return null;
  return form['state'] === 'needs_attention' ? 'wrong' : form['state'] === 'not_checked' ? 'whyNot' : null;
}

/** Answers given by choosing, with nothing to type: they are sent at the tap. */
export function byTap(kind: AnswerKind, form: Form): boolean {
  if (kind === 'condition') return form['state'] === 'in_order';
  return kind === 'cleanliness' || kind === 'keys' || kind === 'count';
}
