// Which briefing topics are due: the same conditions the server reads, so that a walk-round can begin without signal.
import type { DueTopic, Hire, Template, Vehicle, When } from '../api/types';
import { dayIn } from './zone';

/** The months (1 to 12) a hire touches on its depot's calendar. */
export function monthsTouched(zone: string, from: string, to: string): number[] {
  const [startYear, startMonth] = dayIn(new Date(from), zone).split('-').map(Number) as [number, number];
  const [endYear, endMonth] = dayIn(new Date(to), zone).split('-').map(Number) as [number, number];
  const count = Math.min(12, (endYear - startYear) * 12 + endMonth - startMonth + 1);
  return Array.from({ length: Math.max(0, count) }, (_, i) => ((startMonth - 1 + i) % 12) + 1);
}

export type DueBy = Pick<Hire, 'agreed_departure' | 'due_back' | 'zone' | 'trips' | 'new_to_layout' | 'pets' | 'trailer'>;

export function holds(when: When, equipment: readonly string[], hire: DueBy): boolean {
  switch (when.when) {
    case 'always':
      return true;
    case 'equipment':
      return equipment.includes(when.key);
    case 'months':
      return monthsTouched(hire.zone, hire.agreed_departure, hire.due_back).some((m) => when.months.includes(m));
    case 'trip':
      return hire.trips.includes(when.key);
    case 'new_to_layout':
      return hire.new_to_layout;
    case 'pets':
      return hire.pets;
    case 'trailer':
      return hire.trailer;
    case 'all':
      return (when.of as When[]).every((w) => holds(w, equipment, hire));
    case 'any':
      return (when.of as When[]).some((w) => holds(w, equipment, hire));
  }
}

/** The topics due at a departure, none of them told yet, in the order they are explained. */
export function dueAtDeparture(template: Template, vehicle: Pick<Vehicle, 'equipment'>, hire: DueBy): DueTopic[] {
  return template.briefings
    .filter((topic) => holds(topic.due, vehicle.equipment, hire))
    .map((topic) => ({ topic: topic.key, critical: topic.critical === true, missed: 'not_acknowledged' as const }));
}
