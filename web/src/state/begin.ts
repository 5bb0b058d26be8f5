// Begins a departure or a return: on this device, with what was fetched for it; the server is told in its turn.
import { getTariff, getVehicle, vehicleRegister, vehicleTemplate } from '../actions/fleet';
import { getHire } from '../actions/hires';
import { getInspection, inspectionTemplate } from '../actions/inspection';
import type { Problem } from '../api/problem';
import type { Hire, StartLeg } from '../api/types';
import { newId } from '../domain/ids';
import { begun, type Setting } from '../domain/setting';
import { viewKey } from '../store/db';
import { basisKey, hireKey, settingKey } from '../sync/keys';
import type { App } from './app';
import { cannotAsk, stored } from './stored';

export type Begun = { is: 'begun'; inspection: string } | { is: 'refused'; problem: Problem } | { is: 'lacking' };

/** What the questions of a leg need, before there is an inspection. */
async function basisOf(app: App, of: Hire, leg: StartLeg): Promise<Setting> {
  const { api } = app;
  const [hire, vehicle, register, tariff] = await Promise.all([getHire(api, of.id), getVehicle(api, of.vehicle), vehicleRegister(api, of.vehicle), getTariff(api, of.tariff)]);
  const departure = leg === 'return' && hire.departure !== null ? await getInspection(api, hire.departure) : null;
  // A return asks what its departure asked.
  const template = await (departure ? inspectionTemplate(api, departure.id) : vehicleTemplate(api, of.vehicle));
  return { hire, vehicle: vehicle.value, template, tariff, register: register.filter((m) => m.state === 'open'), departure };
}

export async function beginInspection(app: App, hire: Hire, leg: StartLeg): Promise<Begun> {
  let basis: Setting;
  try {
    basis = (await stored(app.db, basisKey(hire.id, leg), () => basisOf(app, hire, leg))).value;
  } catch (error) {
    if (cannotAsk(error)) return { is: 'lacking' };
    throw error;
  }
  const inspection = newId();
  const at = new Date();
  const setting: Setting = { ...basis, hire: { ...basis.hire, [leg]: inspection } };
  const { operation, outcome } = await app.sync.record(
    inspection,
    { kind: 'start', hire: hire.id, leg, template: setting.template.id },
    {
      at,
      cache: {
        [viewKey(inspection)]: begun(setting, inspection, leg, app.session.staff?.id ?? '', at),
        [settingKey(inspection)]: setting,
        [hireKey(hire.id)]: setting.hire,
      },
    },
  );
  const said = await outcome;
  if (said.is !== 'refused') return { is: 'begun', inspection };
  const other = said.problem.code === 'inspection_started' ? said.problem.more['inspection'] : undefined;
  if (typeof other === 'string') return { is: 'begun', inspection: other };
  await app.sync.letGo(operation.id);
  return { is: 'refused', problem: said.problem };
}
