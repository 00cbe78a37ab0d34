import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { renderHtmlReport } from '../../src/io/html-report.js';
import { depthColour } from '../../src/io/report/depth-colour.js';
import { indexedPng } from '../../src/io/report/indexed-png.js';
import { missingBands } from '../../src/io/report/missing-bands.js';
import { csv, framesCsv, stepsCsv } from '../../src/io/report-csv.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const gapped = () => fixtureReport({ frames: 20, stepDof: 0.7, longSteps: { 8: 1.85, 13: 1.6 }, emptySteps: [13], flags: { 4: ['blurred'] }, dofUm: 25 });

describe('report as one HTML file', () => {
  it('says verdict, gap, moves, cautions, every step and every frame', () => {
    const report = gapped();
    const page = renderHtmlReport(report, { railUnitUm: 5, workingDistanceMm: 42 });
    expect(page).toMatch(/Leave the rig up: two frames are missing\./);
    for (const reason of report.verdict.reasons) expect(page).toContain(reason);
    expect(page).toContain('21.2 µm in no frame'); // 0.85 DOF of 25 µm, by hand 21.25
    expect(page).toContain('15.0 µm empty'); // 0.60 DOF of 25 µm
    expect(page).toMatch(/Move 3 rail units/);
    expect(page).toMatch(/Before the camera moves towards the subject/);
    for (const frame of report.stack.frames) expect(page).toContain(`<td class="file">${frame.file}</td>`);
    expect(page.match(/<tr class="(good|thin|gap|empty|unmeasured)">/g)?.length).toBe(19);
    expect(page).toMatch(/assumed to be 1/);
  });

  it('needs nothing from outside and runs nothing', () => {
    const page = renderHtmlReport(gapped());
    expect(page).toMatch(/default-src 'none'/);
    expect(page).not.toMatch(/<script|https?:|<link|@import|url\((?!#)/i);
    for (const [, source] of page.matchAll(/(?:src|href)="([^"]*)"/g)) expect(source).toMatch(/^(data:image\/png;base64,|#)/);
  });

  it('keeps file names, folders and messages from becoming markup', () => {
    const nasty = `"><script>alert(1)</script>&'`;
    const report = gapped();
    report.stack.folder = `/x/${nasty}`;
    report.verdict.reasons = [nasty];
    report.findings = [{ kind: nasty, severity: 'fault', frames: [0], message: nasty, remedy: nasty }];
    report.stack.frames.forEach((frame, i) => { frame.file = `${i}${nasty}\u202egpj.exe`; });
    const page = renderHtmlReport(report);
    expect(page).not.toContain('<script');
    expect(page).not.toMatch(/[\u202e\u0000]/);
    expect(page).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
  });

  it('copes with a stack of nothing: no steps, no place, no tile', () => {
    const report = fixtureReport({ frames: 2, stepDof: 0.5, dofUm: null, undecided: true });
    report.stack.order = [];
    report.steps = [];
    report.stack.frames.forEach((frame) => { frame.positionDof = null; frame.positionSigmaDof = null; });
    report.tiles = { rows: 0, columns: 0, tilePx: 16, depthDof: [], bestFrame: [], contrastLoss: [], state: [] };
    report.rail = { medianStepDof: null, medianStepUm: null, scatter: null };
    const page = renderHtmlReport(report);
    expect(page).toMatch(/Cannot tell\. Leave the rig up\./);
    expect(page).toMatch(/No frame could be placed/);
    expect(page).not.toMatch(/NaN|Infinity|undefined|null/);
  });

  it('prints DOF and no µm where the optics are unknown', () => {
    const page = renderHtmlReport(fixtureReport({ frames: 9, stepDof: 0.7, longSteps: { 3: 2 }, dofUm: null }));
    expect(page.replace(/<title>|Wavelength|550 nm/g, '')).not.toMatch(/\d µm/);
    expect(page).toMatch(/1\.00 DOF in no frame/);
    expect(page).not.toMatch(/NaN|Infinity|undefined/);
  });

  it('draws a long stack in several strips', () => {
    expect(renderHtmlReport(fixtureReport({ frames: 160, stepDof: 0.62, dofUm: 25 })).match(/<svg class="ladder"/g)?.length).toBe(8);
    expect(renderHtmlReport(gapped()).match(/<svg class="ladder"/g)?.length).toBe(1);
  });

  it('names each rung once, whole, also where a strip ends', () => {
    const page = renderHtmlReport(fixtureReport({ frames: 160, stepDof: 0.62, dofUm: 25 }));
    const labels = [...page.matchAll(/<text class="label" x="([\d.]+)"[^>]*>(\d+)</g)].map(([, x, name]) => ({ x: Number(x), name }));
    expect(labels.map(({ name }) => name).sort()).toEqual(Array.from({ length: 160 }, (_, k) => String(101 + k).padStart(4, '0')));
    // A strip reaches from 10 to 710; four digits in 10 px lettering are some 24 wide (DejaVu Sans: 0.636 em a digit).
    for (const { x } of labels) { expect(x - 12.7).toBeGreaterThanOrEqual(10); expect(x + 12.7).toBeLessThanOrEqual(710); }
  });
});

describe('missing bands', () => {
  it('counts no rung of a blurred frame and tells harmful from empty', () => {
    const bands = missingBands(gapped());
    expect(bands.map((band) => [band.near, band.far, band.kind])).toEqual([[3, 5, 'harmful'], [8, 9, 'harmful'], [13, 14, 'harmless']]);
  });
  it('says unmeasured, not harmless, where nobody knows', () => {
    const report = gapped();
    report.steps[13]!.grade = 'unmeasured';
    expect(missingBands(report).find((band) => band.near === 13)!.kind).toBe('unmeasured');
  });
});

describe('picture of the map', () => {
  it('is a PNG that another reader reads back (sharp)', async () => {
    const indices = Uint8Array.from({ length: 35 }, (_, i) => i % 3);
    const png = indexedPng(5, 7, indices, [[10, 20, 30], [200, 100, 50], [0, 255, 128]]);
    const { data, info } = await sharp(png).removeAlpha().raw().toBuffer({ resolveWithObject: true });
    expect([info.width, info.height]).toEqual([7, 5]);
    expect([...data.subarray(0, 9)]).toEqual([10, 20, 30, 200, 100, 50, 0, 255, 128]);
  });
  it('gets evenly lighter with depth (CIE lightness of its own colours, from the CIE 1976 formula)', () => {
    const lightness = (rgb: readonly number[]): number => {
      const [r, g, b] = rgb.map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4)) as [number, number, number];
      return 116 * Math.cbrt(0.2126 * r + 0.7152 * g + 0.0722 * b) - 16;
    };
    const steps = Array.from({ length: 11 }, (_, i) => lightness(depthColour(i / 10)));
    const rises = steps.slice(1).map((value, i) => value - steps[i]!);
    // 17 … 91: a mean rise of 7 a tenth; half of that at least everywhere.
    for (const rise of rises) expect(rise).toBeGreaterThan(3.5);
  });
});

describe('CSV', () => {
  it('holds a line for every step and frame, with their depth order', () => {
    const report = gapped();
    expect(stepsCsv(report).trimEnd().split('\r\n').length).toBe(20);
    const lines = framesCsv(report).trimEnd().split('\r\n');
    expect(lines[5]).toMatch(/^specimen-0105\.jpg,5,.*,blurred$/);
  });
  it('quotes as RFC 4180 says and never hands a formula to a table program', () => {
    expect(csv([['a,b', 'say "hi"', '=1+1', -3, null, true]])).toBe('"a,b","say ""hi""",\'=1+1,-3,,true\r\n');
  });
});
