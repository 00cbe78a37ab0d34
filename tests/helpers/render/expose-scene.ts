import { FftPlane, binFrequency } from './fft-plane.js';
import { OtfTable, RADIAL_ENTRIES } from './otf-table.js';
import type { Lens } from './lens.js';
import { cutoffPerPixel } from './lens.js';
import type { Pose, Scene, SurfaceGroup } from './scene.js';

// Longer than a page because the passband's bookkeeping is shared by both halves of one pass: gather, then give back.

const LAYER_STEP = 0.3; // λ/NA²: joined by six points, the response is off by < 0.001 (sixth difference of a curve no faster than cos πδ)
const LAYER_REACH = 3; // layers on either side that a depth is shared among
const BATCH_BYTES = 900e6;
const LOST = 0.002; // response taken as nothing beyond the last frequency that reaches this much: a tenth of a code value at full contrast

/** Grid points of the spectrum inside the lens's cutoff: where they are, their radius in the look-up, the pixel's own response. */
interface Passband { index: Uint32Array; /** Per look-up entry: where its points end. */ binEnd: Int32Array; rowFrequency: Float32Array; columnFrequency: Float32Array }

/**
 * Light on the sensor for each pose, by incoherent imaging: every surface point spreads its light by the exact response
 * for its own defocus. Points are shared among depth layers (Lagrange weights), layers are filtered and summed as spectra,
 * and each group's light and cover are divided by its equally spread surface, so that bent surfaces keep their brightness and leave no holes.
 *
 * @param yieldFrame receives each pose's planes on the scene's grid (grey or colour), in pose order. They include the
 *   pixel's own response; the frame's scale, turn and shift are applied later. Lens and pixel act on the sensor: a scale moves their responses over the scene.
 */
export function exposeScene(scene: Scene, lens: Lens, poses: readonly Pose[], table: OtfTable,
  yieldFrame: (poseIndex: number, light: Float32Array[]) => void): void {
  const fft = new FftPlane(scene.rows, scene.columns);
  const largest = Math.max(...poses.map((pose) => pose.scale));
  const band = passband(scene, (largest * cutoffPerPixel(lens)) / scene.oversample);
  const packs = scene.groups.reduce((sum, group) => sum + Math.ceil(planesOf(group).length / 2), 0);
  const perFrame = packs * band.index.length * 8;
  const batch = Math.max(1, Math.floor(BATCH_BYTES / perFrame));
  for (let first = 0; first < poses.length; first += batch) {
    const some = poses.slice(first, first + batch);
    const spectra = scene.groups.map((group) => groupSpectra(group, groupDepth(group, scene), scene, some, fft, band, table, largest));
    some.forEach((pose, k) => yieldFrame(first + k, compose(scene, spectra.map((s) => s[k]), fft, band, pose)));
  }
}

/** Sorted by radius, so that a far defocused layer can stop early. */
function passband(scene: Scene, cutoff: number): Passband {
  const found: { index: number; radial: number; row: number; column: number }[] = [];
  for (let row = 0; row < scene.rows; row++) {
    const fr = binFrequency(row, scene.rows);
    for (let column = 0; column < scene.columns; column++) {
      const fc = binFrequency(column, scene.columns);
      const s = Math.hypot(fr, fc) / cutoff;
      if (s < 1) found.push({ index: row * scene.columns + column, radial: Math.round(s * (RADIAL_ENTRIES - 1)), row: fr, column: fc });
    }
  }
  found.sort((a, b) => a.radial - b.radial || a.index - b.index);
  const binEnd = new Int32Array(RADIAL_ENTRIES);
  for (const point of found) binEnd[point.radial]++;
  for (let bin = 1; bin < binEnd.length; bin++) binEnd[bin] += binEnd[bin - 1];
  return { index: Uint32Array.from(found, (p) => p.index), binEnd,
    rowFrequency: Float32Array.from(found, (p) => p.row), columnFrequency: Float32Array.from(found, (p) => p.column) };
}

/** Lagrange weight (six points) of a layer `t` layer steps away; the weights at any depth sum to 1. */
function layerWeight(t: number): number {
  const a = Math.abs(t);
  if (a < 1) return (1 - a) * (1 + a) * (2 - a) * (2 + a) * (3 - a) / 12;
  if (a < 2) return (1 - a) * (1 + a) * (2 - a) * (3 - a) * (4 - a) / 24;
  return a < 3 ? (1 - a) * (2 - a) * (3 - a) * (4 - a) * (5 - a) / 120 : 0;
}

/** Per pose and pack: the spread light's spectrum. Planes are packed in pairs, as the responses are real and even. */
function groupSpectra(group: SurfaceGroup, depth: Float32Array, scene: Scene, poses: readonly Pose[], fft: FftPlane, band: Passband, table: OtfTable, largest: number): Float32Array[][] {
  const planes = planesOf(group);
  const packs = Math.ceil(planes.length / 2);
  const sums = poses.map(() => Array.from({ length: packs }, () => new Float32Array(2 * band.index.length)));
  const layer = new Float64Array(2 * scene.rows * scene.columns);
  const response = new Float32Array(RADIAL_ENTRIES), responses = poses.map(() => new Float32Array(RADIAL_ENTRIES));
  const spectrum = new Float32Array(2 * band.index.length);
  for (const at of layersOf(depth)) {
    for (let pack = 0; pack < packs; pack++) {
      layer.fill(0);
      if (!fillLayer(layer, depth, at, planes[2 * pack], planes[2 * pack + 1])) break;
      fft.forward(layer);
      for (let i = 0; i < band.index.length; i++) {
        spectrum[2 * i] = layer[2 * band.index[i]];
        spectrum[2 * i + 1] = layer[2 * band.index[i] + 1];
      }
      poses.forEach((pose, k) => {
        table.radial((pose.focus - at * LAYER_STEP) / 2, response);
        stretch(response, largest / pose.scale, responses[k]);
      });
      poses.forEach((_, k) => addFiltered(sums[k][pack], spectrum, responses[k], band.binEnd));
    }
  }
  return sums;
}

/**
 * The lens's response over the sensor's frequencies, as one over the scene's: what is shown larger by the pose's scale lies lower by it on the sensor.
 * A rail keeps the magnification in the plane of focus, and so the cutoff on the sensor, while the subject grows around it.
 */
function stretch(response: Float32Array, factor: number, out: Float32Array): void {
  for (let i = 0; i < RADIAL_ENTRIES; i++) {
    const x = i * factor, j = Math.floor(x);
    out[i] = j + 1 < RADIAL_ENTRIES ? response[j] + (x - j) * (response[j + 1] - response[j]) : 0;
  }
}

/** What is spread of a group: its light as far as it covers, its cover where it has one, and the surface itself as light of strength one (null). */
function planesOf(group: SurfaceGroup): (Float32Array | null)[] {
  const { cover } = group;
  return cover ? [...group.light.map((plane) => plane.map((v, i) => v * cover[i])), cover, null] : [...group.light, null];
}

/** A group's surface goes on beyond its cover at the depth of the nearest point covered: only its edge ends it. */
function groupDepth(group: SurfaceGroup, scene: Scene): Float32Array {
  if (!group.cover) return group.depth;
  const { rows, columns } = scene, depth = group.depth.slice(), known = Uint8Array.from(group.cover, (c) => (c > 0 ? 1 : 0));
  let front = Array.from(known.keys()).filter((i) => known[i]);
  while (front.length) {
    const next: number[] = [];
    for (const i of front) {
      const row = Math.floor(i / columns), column = i % columns;
      for (const j of [((row + 1) % rows) * columns + column, ((row + rows - 1) % rows) * columns + column, row * columns + (column + 1) % columns, row * columns + (column + columns - 1) % columns]) {
        if (known[j]) continue;
        known[j] = 1;
        depth[j] = depth[i];
        next.push(j);
      }
    }
    front = next;
  }
  return depth;
}

function layersOf(depth: Float32Array): number[] {
  const used = new Set<number>();
  for (const d of depth) used.add(Math.floor(d / LAYER_STEP));
  const layers = new Set<number>();
  for (const cell of used) for (let k = 1 - LAYER_REACH; k <= LAYER_REACH; k++) layers.add(cell + k);
  return [...layers].sort((a, b) => a - b);
}

function fillLayer(layer: Float64Array, depth: Float32Array, at: number, re: Float32Array | null | undefined, im: Float32Array | null | undefined): boolean {
  let any = false;
  for (let i = 0; i < depth.length; i++) {
    const t = depth[i] / LAYER_STEP - at;
    if (t <= -LAYER_REACH || t >= LAYER_REACH) continue;
    const weight = layerWeight(t);
    if (weight === 0) continue;
    any = true;
    layer[2 * i] = weight * (re ? re[i] : 1);
    if (im !== undefined) layer[2 * i + 1] = weight * (im ? im[i] : 1);
  }
  return any;
}

/** Adds the filtered spectrum, radius by radius; written out by fours because this is where rendering spends its time. */
function addFiltered(sum: Float32Array, spectrum: Float32Array, response: Float32Array, binEnd: Int32Array): void {
  let last = RADIAL_ENTRIES - 1;
  while (last > 0 && Math.abs(response[last]) < LOST) last--;
  let i = 0;
  for (let bin = 0; bin <= last; bin++) {
    const r = response[bin], end = 2 * binEnd[bin];
    for (; i + 4 <= end; i += 4) {
      const a = spectrum[i], b = spectrum[i + 1], c = spectrum[i + 2], d = spectrum[i + 3];
      sum[i] += r * a;
      sum[i + 1] += r * b;
      sum[i + 2] += r * c;
      sum[i + 3] += r * d;
    }
    for (; i < end; i++) sum[i] += r * spectrum[i];
  }
}

/** Back to light: groups laid over one another from the far side, then the pixel's and the shake's own response. */
function compose(scene: Scene, spectra: Float32Array[][], fft: FftPlane, band: Passband, pose: Pose): Float32Array[] {
  const size = scene.rows * scene.columns, channels = scene.groups[0].light.length;
  const light = Array.from({ length: channels }, () => new Float32Array(size));
  const shared = pixelResponse(band, scene.oversample, pose);
  for (let g = scene.groups.length - 1; g >= 0; g--) {
    const planes: Float32Array[] = [];
    for (const sum of spectra[g]) {
      const plane = new Float64Array(2 * size);
      for (let i = 0; i < band.index.length; i++) {
        plane[2 * band.index[i]] = sum[2 * i] * shared[i];
        plane[2 * band.index[i] + 1] = sum[2 * i + 1] * shared[i];
      }
      fft.inverse(plane);
      for (const part of [0, 1]) {
        const real = new Float32Array(size);
        for (let i = 0; i < size; i++) real[i] = plane[2 * i + part];
        planes.push(real);
      }
    }
    const covered = scene.groups[g].cover !== null, cover = planes[channels], surface = planes[channels + (covered ? 1 : 0)];
    for (let c = 0; c < channels; c++) {
      for (let i = 0; i < size; i++) {
        const spread = Math.max(0.05, surface[i]);
        const behind = covered ? 1 - Math.min(1, Math.max(0, cover[i] / spread)) : 0;
        light[c][i] = planes[c][i] / spread + behind * light[c][i];
      }
    }
  }
  return light;
}

function pixelResponse(band: Passband, oversample: number, pose: Pose): Float32Array {
  const out = new Float32Array(band.index.length);
  for (let i = 0; i < out.length; i++) {
    const fr = (band.rowFrequency[i] * oversample) / pose.scale, fc = (band.columnFrequency[i] * oversample) / pose.scale;
    const shake = pose.shakePx ? sinc(fr * pose.shakePx.row + fc * pose.shakePx.column) : 1;
    out[i] = sinc(fr) * sinc(fc) * shake;
  }
  return out;
}

function sinc(x: number): number { return Math.abs(x) < 1e-9 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x); }
