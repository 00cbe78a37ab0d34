import { bilinearMosaic } from './bilinear-mosaic.js';
import type { Random } from './random.js';
import { inCameraDenoise, inCameraSharpen } from './in-camera.js';

/** The camera behind the lens. */
export interface Sensor {
  /** Electrons at which a pixel clips (level 1). */
  fullWellElectrons: number;
  readNoiseElectrons: number;
  /** A colour-filter mosaic, interpolated bilinearly, instead of full colour at every pixel. */
  mosaic: boolean;
  /** Strength of in-camera sharpening (unsharp mask of 1 px), 0 = none. */
  sharpening: number;
  /** In-camera noise reduction: radius of the smoothing blended in, px; 0 = none. */
  noiseReductionPx: number;
  /** Shadows of dust on the cover glass, in place in every frame: share of light let through; null for a clean one. */
  dust: Float32Array | null;
  /** Grey subjects: what each channel sees of them. */
  channelGain: [number, number, number];
}

/**
 * Linear light (1 = clipping at gain 1) to 8-bit sRGB: exposure, photon noise, read noise, clipping, the camera's own
 * processing, encoding. Photon noise is Gaussian of the Poisson's variance: counts here are in the hundreds and more.
 * @param light one plane (grey subject) or three
 * @returns rows × columns × 3 bytes
 */
export function recordPicture(light: Float32Array[], rows: number, columns: number, gain: number, sensor: Sensor, random: Random): Uint8Array {
  const normals = normalTable(random);
  let channels: Float32Array[] = [0, 1, 2].map((c) => {
    const from = light[Math.min(c, light.length - 1)];
    const scale = gain * (light.length === 1 ? sensor.channelGain[c] : 1);
    const out = new Float32Array(rows * columns);
    for (let i = 0; i < out.length; i++) out[i] = measure(from[i] * scale * (sensor.dust ? sensor.dust[i] : 1), sensor, normals, random);
    return out;
  });
  if (sensor.mosaic) channels = bilinearMosaic(channels, rows, columns);
  if (sensor.noiseReductionPx > 0) channels = channels.map((c) => inCameraDenoise(c, rows, columns, sensor.noiseReductionPx));
  if (sensor.sharpening > 0) channels = channels.map((c) => inCameraSharpen(c, rows, columns, sensor.sharpening));
  const bytes = new Uint8Array(3 * rows * columns);
  for (let c = 0; c < 3; c++) for (let i = 0; i < rows * columns; i++) bytes[3 * i + c] = encodeSrgb(channels[c][i]);
  return bytes;
}

function measure(level: number, sensor: Sensor, normals: Float32Array, random: Random): number {
  const electrons = Math.max(0, level) * sensor.fullWellElectrons;
  const sigma = Math.sqrt(electrons + sensor.readNoiseElectrons ** 2);
  const bits = random.bits();
  // Two draws from a table of 65 536 normals: as good as fresh ones here, and ten times as fast.
  const noise = (normals[bits & 0xffff] + normals[bits >>> 16]) * Math.SQRT1_2;
  return Math.min(1, (electrons + sigma * noise) / sensor.fullWellElectrons);
}

function normalTable(random: Random): Float32Array {
  const table = new Float32Array(65536);
  let sum = 0, squares = 0;
  for (let i = 0; i < table.length; i++) { table[i] = random.normal(); sum += table[i]; squares += table[i] ** 2; }
  const mean = sum / table.length, sd = Math.sqrt(squares / table.length - mean * mean);
  for (let i = 0; i < table.length; i++) table[i] = (table[i] - mean) / sd;
  return table;
}

const ENCODE_STEPS = 16384;
let encodeTable: Uint8Array | null = null;

/** IEC 61966-2-1, 8 bits, from a table fine enough that rounding decides the code value. */
function encodeSrgb(level: number): number {
  if (!encodeTable) {
    encodeTable = new Uint8Array(ENCODE_STEPS + 1);
    for (let i = 0; i <= ENCODE_STEPS; i++) {
      const v = i / ENCODE_STEPS;
      encodeTable[i] = Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
    }
  }
  return encodeTable[Math.round(ENCODE_STEPS * Math.min(1, Math.max(0, level)))];
}
