import { RIG_FIELDS, type Settings } from '../../contract/host.js';
import type { RigValues } from '../../pipeline/analyse-request.js';

/** What the window set, with where each value came from: entered values go before the rig card's. */
export function rigOfSettings(settings: Settings): RigValues {
  const values: RigValues = {};
  for (const field of RIG_FIELDS) {
    const entered = settings.entered[field], saved = settings.rigCard?.values[field];
    if (entered !== undefined) values[field] = { value: entered, source: 'option' };
    else if (saved !== undefined) values[field] = { value: saved, source: 'rig-card' };
  }
  return values;
}
