import { shortFloats } from '../image/short-floats.js';
import type { FrameMeasure, PlainMeasure } from './measure-plan.js';

/** A measure in the form it is handed over, kept and cached in: less than half the memory, for hundreds of frames. */
export function compactMeasure(plain: PlainMeasure): FrameMeasure {
  return {
    ...plain, energy: plain.energy.map(shortFloats), brightness: shortFloats(plain.brightness), clipped: plain.clipped.some((share) => share > 0) ? bytes(plain.clipped) : null,
    registration: { ...plain.registration, pixels: integers(plain.registration.pixels) },
  };
}

/** Shares 0…1 as 0…255; nothing that was clipped becomes 0. */
function bytes(shares: Float32Array): Uint8Array {
  const out = new Uint8Array(shares.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.ceil(255 * shares[i]);
  return out;
}

/** The greatest becomes ±32767. */
function integers(values: Float32Array): Int16Array {
  let most = 0;
  for (let i = 0; i < values.length; i++) if (Math.abs(values[i]) > most) most = Math.abs(values[i]);
  const out = new Int16Array(values.length), scale = most > 0 ? 32_767 / most : 0;
  for (let i = 0; i < out.length; i++) out[i] = Math.round(values[i] * scale);
  return out;
}
