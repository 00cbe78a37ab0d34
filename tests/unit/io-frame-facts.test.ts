import { describe, expect, it } from 'vitest';
import { frameFacts } from '../../src/io/frame-facts.js';

describe('frameFacts', () => {
  // optics-reference: an FNumber of 0, 0/0, NaN or none at all is unknown; a manual lens writes none.
  it.each([0, NaN, Infinity, -2.8, undefined, 'f/4', 1e9])('takes an aperture of %s as unknown', (value) => {
    expect(frameFacts({ FNumber: value }, 100).fNumber).toBeNull();
  });
  it('keeps an aperture a lens can have', () => expect(frameFacts({ FNumber: 2.8 }, 100).fNumber).toBe(2.8));

  // optics-reference (EXIF 2.3): 6350 per inch = 2500 per cm = 4.000 µm.
  it.each([[6350, 2], [2500, 3], [6350, undefined]])('reads %s pixels per unit %s as 4 µm', (perUnit, unit) => {
    const tags = { FocalPlaneXResolution: perUnit, FocalPlaneYResolution: perUnit, FocalPlaneResolutionUnit: unit, ExifImageWidth: 6000 };
    expect(frameFacts(tags, 6000).pixelPitchUm).toBeCloseTo(4, 9);
  });
  it.each([
    ['resized or cropped', { ExifImageWidth: 6000 }, 3000],
    ['no width tag', {}, 3000],
    ['unknown unit', { ExifImageWidth: 3000, FocalPlaneResolutionUnit: 1 }, 3000],
    ['no resolution', { ExifImageWidth: 3000, FocalPlaneXResolution: 0 }, 3000],
    ['pixels not square', { ExifImageWidth: 3000, FocalPlaneYResolution: 3000 }, 3000],
    ['absurd', { ExifImageWidth: 3000, FocalPlaneXResolution: 72, FocalPlaneYResolution: 72 }, 3000],
  ])('knows no pitch where the tags are %s', (_, tags, width) => {
    expect(frameFacts({ FocalPlaneXResolution: 6350, FocalPlaneYResolution: 6350, FocalPlaneResolutionUnit: 2, ...tags }, width).pixelPitchUm).toBeNull();
  });

  it('knows no pitch from a camera’s name: only resolution tags say it, or a rig card', () => {
    expect(frameFacts({ Make: 'Bench', Model: 'Bench camera', ExifImageWidth: 6000 }, 6000)).toMatchObject({ cameraModel: 'Bench camera', pixelPitchUm: null });
  });
  it('reads the capture time to the sub-second', () => {
    const at = (fraction: string): number | null => frameFacts({ DateTimeOriginal: '2026:11:20 10:11:12', SubSecTimeOriginal: fraction }, 1).captureTimeMs;
    expect(new Date(at('25') ?? 0).toISOString()).toBe('2026-11-20T10:11:12.250Z');
    expect(at('050')).toBe((at('') ?? 0) + 50);
  });
  it.each(['0000:00:00 00:00:00', '', 'yesterday'])('knows no time where the clock says "%s"', (stamp) => {
    expect(frameFacts({ DateTimeOriginal: stamp }, 1).captureTimeMs).toBeNull();
  });
});
