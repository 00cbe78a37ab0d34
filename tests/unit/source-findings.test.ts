import { describe, expect, it } from 'vitest';
import { sourceFindings } from '../../src/diagnosis/source-findings.js';
import { resolveOptics } from '../../src/pipeline/resolve-optics.js';
import { frameFacts } from '../../src/io/frame-facts.js';
import { noFacts } from '../../src/io/frame-facts.js';

const frame = { file: 'P1.nef', columns: 2000, facts: noFacts };

describe('sourceFindings', () => {
  it('says nothing of whole pictures', () => expect(sourceFindings([frame])).toEqual([]));
  it('warns where the preview is smaller than the shot, with both widths', () => {
    const [finding] = sourceFindings([{ ...frame, facts: { ...noFacts, sensorPixelsPerPixel: 3 } }]);
    expect(finding).toMatchObject({ kind: 'small-preview', severity: 'warn' });
    expect(finding.message).toContain('2000 of 6000 pixels');
  });
  it('names the frames where only some are concerned', () => {
    expect(sourceFindings([frame, { ...frame, file: 'P2.nef', fromRaw: true }])[0]).toMatchObject({ kind: 'raw-preview', frames: [1] });
    expect(sourceFindings([{ ...frame, fromRaw: true }])[0].frames).toEqual([]);
  });
  it('says which of two files was used', () => expect(sourceFindings([{ ...frame, file: 'P1.jpg', beside: 'P1.nef' }])[0].message).toMatch(/P1\.jpg was used, not P1\.nef/));
  it('says that files were resized', () => expect(sourceFindings([{ ...frame, facts: { ...noFacts, otherColumns: 6000 } }])[0]).toMatchObject({ kind: 'resized', message: expect.stringContaining('2000 pixels wide where the camera wrote 6000') as string }));
});

describe('a picture smaller than its shot', () => {
  const rig = { magnification: { value: 1, source: 'option' }, fNumber: { value: 2.8, source: 'option' }, pixelPitchUm: { value: 4, source: 'option' } } as const;
  it('has larger pixels: the cutoff lies higher by as much, the depth of field at the wavelength does not', () => {
    const whole = resolveOptics(rig, noFacts), small = resolveOptics(rig, { ...noFacts, sensorPixelsPerPixel: 3 });
    expect(small.report.pixelPitchUm).toEqual({ value: 12, source: 'derived' });
    expect((small.cutoff ?? 0) / (whole.cutoff ?? 1)).toBeCloseTo(3, 9);
    expect(small.waveDofUm).toBe(whole.waveDofUm);
  });
});

describe('frameFacts of an edited file', () => {
  it('keeps the width the camera wrote where the file has another', () => {
    expect(frameFacts({ ExifImageWidth: 6000 }, 3000).otherColumns).toBe(6000);
    expect(frameFacts({ ExifImageWidth: 6000 }, 6000).otherColumns).toBeUndefined();
    for (const nonsense of [0, NaN, Infinity, 'wide', undefined]) expect(frameFacts({ ExifImageWidth: nonsense }, 6000).otherColumns).toBeUndefined();
  });
});
