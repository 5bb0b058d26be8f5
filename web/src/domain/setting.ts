// Everything about the vehicle and the hire that the questions of an inspection need; and how one begins.
import type { Hire, InspectionView, Mark, StartLeg, Tariff, Template, Vehicle } from '../api/types';
import { dueAtDeparture } from './due';

export interface Setting {
  hire: Hire;
  vehicle: Vehicle;
  template: Template;
  tariff: Tariff;
  /** Damage that was known before and can be looked at again. */
  register: Mark[];
  /** The departure's inspection, on return. */
  departure: InspectionView | null;
}

/** An inspection as it is the moment it is begun on this device. */
export function begun(setting: Setting, id: string, leg: StartLeg, staff: string, at: Date): InspectionView {
  const { hire, vehicle, template } = setting;
  return {
    id,
    hire: hire.id,
    vehicle: vehicle.id,
    leg,
    status: 'open',
    template: template.id,
    template_version: template.version,
    started_at: at.toISOString(),
    started_by: staff,
    clocks: null,
    handed_over_at: null,
    entries: [],
    photos: [],
    marks: [],
    sightings: [],
    briefings: [],
    due_topics: leg === 'departure' ? dueAtDeparture(template, vehicle, hire) : [],
    signatures: [],
    hirer_absent: null,
    signed_at: null,
    open_points: [],
    conflicts: [],
    seal: null,
    addenda: [],
    version: 0,
  };
}
