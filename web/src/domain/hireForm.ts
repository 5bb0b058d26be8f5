// The form of a new hire, as typed, and the hire it means.
import type { Currency, Means, Money, NewHire, Vehicle } from '../api/types';
import { parseMoney } from './money';
import { fromWall } from './zone';

export interface HireFields {
  id: string;
  reference: string;
  vehicle: string;
  /** Wall-clock times of the depot, as date-and-time fields give them. */
  departure: string;
  return: string;
  excess: string;
  deposit: string;
  means: Means;
  drivers: { id: string; name: string; email: string; phone: string }[];
  newToLayout: boolean;
  pets: boolean;
  trailer: boolean;
  alpine: boolean;
}

export type HireFault =
  | 'required'
  | 'not_a_time'
  | 'skipped'
  | 'endBeforeStart'
  | 'empty'
  | 'not_a_number'
  | 'too_many_places'
  | 'too_large'
  | 'negative'
  | 'ambiguous';

export type ReadHire =
  | { ok: true; hire: NewHire; twice: boolean }
  | { ok: false; faults: Readonly<Record<string, HireFault>> };

export function emptyHire(id: string, driver: string, day: string, back: string): HireFields {
  return {
    id,
    reference: '',
    vehicle: '',
    departure: `${day}T15:00`,
    return: `${back}T10:00`,
    excess: '',
    deposit: '',
    means: 'card',
    drivers: [{ id: driver, name: '', email: '', phone: '' }],
    newToLayout: false,
    pets: false,
    trailer: false,
    alpine: false,
  };
}

export function readHire(
  fields: HireFields,
  where: { vehicle: Pick<Vehicle, 'id' | 'depot'> | undefined; zone: string; currency: Currency; lang: string },
): ReadHire {
  const faults: Record<string, HireFault> = {};
  const money = (field: 'excess' | 'deposit'): Money => {
    const read = parseMoney(fields[field], where.currency, where.lang);
    if (!read.ok) faults[field] = read.fault;
    return { minor: read.ok ? read.minor : 0, currency: where.currency };
  };
  const time = (field: 'departure' | 'return') => {
    const read = fromWall(fields[field], where.zone);
    if (!read.ok) faults[field] = read.fault;
    return read.ok ? read : { instant: '', twice: false };
  };
  if (fields.reference.trim() === '') faults['reference'] = 'required';
  if (!where.vehicle) faults['vehicle'] = 'required';
  const departure = time('departure');
  const back = time('return');
  if (departure.instant !== '' && back.instant !== '' && Date.parse(back.instant) <= Date.parse(departure.instant)) {
    faults['return'] = 'endBeforeStart';
  }
  fields.drivers.forEach((d, i) => {
    if (d.name.trim() === '') faults[`driver.${i}`] = 'required';
  });
  const excess = money('excess');
  const deposit = money('deposit');
  if (!where.vehicle || Object.keys(faults).length > 0) return { ok: false, faults };
  return {
    ok: true,
    twice: departure.twice || back.twice,
    hire: {
      id: fields.id,
      reference: fields.reference.trim(),
      depot: where.vehicle.depot,
      vehicle: where.vehicle.id,
      agreed_departure: departure.instant,
      agreed_return: back.instant,
      excess,
      deposit,
      deposit_means: fields.means,
      new_to_layout: fields.newToLayout,
      pets: fields.pets,
      trailer: fields.trailer,
      trips: fields.alpine ? ['alpine'] : [],
      drivers: fields.drivers.map((d, i) => ({
        id: d.id,
        name: d.name.trim(),
        email: d.email.trim(),
        phone: d.phone.trim(),
        lead: i === 0,
      })),
    },
  };
}
