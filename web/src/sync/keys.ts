// Names under which the answers of the server are kept on the device.
import type { StartLeg } from '../api/types';

export const hireKey = (hire: string) => `hire/${hire}`;
export const basisKey = (hire: string, leg: StartLeg) => `basis/${hire}/${leg}`;
export const settingKey = (inspection: string) => `setting/${inspection}`;
