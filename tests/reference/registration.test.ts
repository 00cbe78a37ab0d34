import { createRequire } from 'node:module';
import { beforeAll, describe, expect, it } from 'vitest';
import type { RegistrationFrame } from '../../src/registration/plain-shifts.js';
import { registerPair } from '../../src/registration/register-pair.js';
import { coarseShifts } from '../../src/registration/register-stack.js';
import { applySimilarity, IDENTITY, type Similarity } from '../../src/registration/similarity.js';
import { planMeasurement } from '../../src/sharpness/plan-measurement.js';
import { measurePixels } from '../../src/simd/measure-pixels.js';
import { exposeScene } from '../helpers/render/expose-scene.js';
import { BENCH_LENS, cutoffPerPixel } from '../helpers/render/lens.js';
import { OtfTable } from '../helpers/render/otf-table.js';
import { Random } from '../helpers/render/random.js';
import type { Pose } from '../helpers/render/scene.js';
import { recordPicture, type Sensor } from '../helpers/render/sensor.js';
import { takePicture } from '../helpers/render/take-picture.js';
import { gridFor, surfaceScene } from '../helpers/scene/build-scene.js';

/** As much of OpenCV as is called here: the types that come with the package don't compile under strict settings. */
interface OpenCv {
  Mat: new () => Mat;
  TermCriteria: new (kind: number, rounds: number, epsilon: number) => object;
  matFromArray(rows: number, columns: number, type: number, values: readonly number[]): Mat;
  findTransformECC(template: Mat, input: Mat, warp: Mat, motion: number, until: object, mask: Mat, blurPx: number): number;
  CV_8UC1: number; CV_32FC1: number; MOTION_AFFINE: number; TermCriteria_COUNT: number; TermCriteria_EPS: number;
}
interface Mat { data32F: Float32Array; delete(): void }
const { cv } = createRequire(import.meta.url)('opencv-wasm') as { cv: OpenCv };

/**
 * Frames of a known move against the first, with lens, noise and 8 bits; the truth is the renderer's own pose. The reference is OpenCV's direct
 * alignment by the enhanced correlation coefficient (findTransformECC; G. Evangelidis & E. Psarakis, IEEE Trans. PAMI 30, 2008), started at no move.
 */
const EDGE = 420, picture = { rows: EDGE, columns: EDGE };
const sensor: Sensor = { fullWellElectrons: 25_000, readNoiseElectrons: 5, mosaic: false, sharpening: 0, noiseReductionPx: 0, dust: null, channelGain: [1, 0.9, 0.8] };
const pose = (focus: number, more: Partial<Pose> = {}): Pose => ({ focus, scale: 1, turnRad: 0, shiftPx: { row: 0, column: 0 }, shakePx: null, ...more });
const cases: [name: string, pose: Pose][] = [
  ['a move', pose(0.5, { shiftPx: { row: 6.3, column: -4.6 } })],
  ['a turn', pose(0.5, { turnRad: 0.008 })],
  ['a growth', pose(0.5, { scale: 1.006 })],
  ['all of them', pose(0.5, { scale: 0.995, turnRad: -0.006, shiftPx: { row: -3.4, column: 2.7 } })],
  ['a growth, half a DOF further', pose(1, { scale: 1.004 })],
  ['all of them, a DOF further', pose(1.5, { scale: 1.004, turnRad: 0.005, shiftPx: { row: 2.6, column: 5.2 } })],
];

/** The pose as a similarity from the first frame's centred pixels. */
const truthOf = ({ scale, turnRad, shiftPx }: Pose): Similarity => ({ row: shiftPx.row, column: shiftPx.column, turn: -turnRad, lnScale: Math.log(scale) });
/** Greatest distance between where two similarities take the picture's corners, pixels. */
function apart(p: Similarity, q: Similarity): number {
  const h = (EDGE - 1) / 2;
  return Math.max(...[[-h, -h], [-h, h], [h, -h], [h, h]].map(([row, column]) => { const a = applySimilarity(p, row, column), b = applySimilarity(q, row, column); return Math.hypot(a.row - b.row, a.column - b.column); }));
}

function byOpenCv(first: Uint8Array, other: Uint8Array): Similarity {
  const grey = (pixels: Uint8Array): Mat => cv.matFromArray(EDGE, EDGE, cv.CV_8UC1, Array.from({ length: EDGE * EDGE }, (_, i) => pixels[3 * i + 1]));
  const a = grey(first), b = grey(other), warp = cv.matFromArray(2, 3, cv.CV_32FC1, [1, 0, 0, 0, 1, 0]), mask = new cv.Mat();
  const until = new cv.TermCriteria(cv.TermCriteria_COUNT + cv.TermCriteria_EPS, 200, 1e-8);
  cv.findTransformECC(a, b, warp, cv.MOTION_AFFINE, until, mask, 5);
  const [m00, m01, m02, m10, m11, m12] = warp.data32F, h = (EDGE - 1) / 2;
  for (const each of [a, b, warp, mask]) each.delete();
  return {
    column: m00 * h + m01 * h + m02 - h, row: m10 * h + m11 * h + m12 - h, turn: Math.atan2(m01 - m10, m00 + m11), lnScale: 0.5 * Math.log(m00 * m11 - m01 * m10),
  };
}

describe('registration against OpenCV’s, on frames rendered with known moves', () => {
  const shots: Uint8Array[] = [];
  let frames: RegistrationFrame[], coarse: Similarity[];
  beforeAll(() => {
    const poses = [pose(0.5), ...cases.map(([, one]) => one)], grid = gridFor(BENCH_LENS, picture);
    const scene = surfaceScene(grid, 'plane', -0.2, 2.2, { kind: 'facets', slope: 1.3, contrast: 0.3 }, 17);
    exposeScene(scene, BENCH_LENS, poses, new OtfTable(0), (k, light) => {
      shots[k] = recordPicture(light.map((plane) => takePicture(plane, scene, poses[k], EDGE, EDGE)), EDGE, EDGE, 1, sensor, new Random(900 + k));
    });
    const plan = planMeasurement(EDGE, EDGE, cutoffPerPixel(BENCH_LENS));
    // At this size nothing is binned or halved: registration pixels are picture pixels.
    expect([plan.bin, plan.registrationLevel]).toEqual([1, 0]);
    const pictures = shots.map((pixels) => measurePixels(null, { pixels, rows: EDGE, columns: EDGE, channels: 3, shrink: 1 }, plan).registration);
    frames = pictures.map((one) => ({ ...one, spectra: new Map() }));
    coarse = coarseShifts(pictures, 0);
  });

  it.each(cases.map(([name, one], i) => [name, one, i + 1] as const))('%s', (name, one, k) => {
    const own = registerPair(frames[0], frames[k], [IDENTITY, coarse[k]])!.similarity, reference = byOpenCv(shots[0], shots[k]), truth = truthOf(one);
    const ownError = apart(own, truth), referenceError = apart(reference, truth);
    console.log(`${name}: own ${ownError.toFixed(3)} px off at the worst corner, OpenCV ${referenceError.toFixed(3)} px, one from the other ${apart(own, reference).toFixed(3)} px`);
    // The reference must have found the move at all for a comparison to say anything.
    expect(referenceError).toBeLessThan(0.5);
    // The method's stated precision is 0.02 to 0.1 px a pair; and it must not lie far behind the reference.
    expect(ownError).toBeLessThan(0.1);
    expect(ownError).toBeLessThan(2 * referenceError + 0.05);
  });
});
