import { mkdtemp, readFile, readdir, rm, writeFile, chmod } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import exifr from 'exifr';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import type { Report } from '../../src/contract/report.js';
import { findBrowser } from '../../src/io/find-browser.js';
import { checkHandOver, handOver } from '../../src/io/hand-over.js';
import { heightMapPng, heightMapTiff } from '../../src/io/height-map-file.js';
import { renderHtmlReport } from '../../src/io/html-report.js';
import { heightMapOf } from '../../src/io/height-map.js';
import { fixtureReport } from '../helpers/window-fixtures/fixture-report.js';

const browser = await findBrowser();
const rail = { rail: { railUnitUm: 5, workingDistanceMm: 42 }, profile: null };
/** A slanted plane: depth in DOF is column / 8, one tile not known. */
function plane(dofUm: number | null): Report {
  const report = fixtureReport({ frames: 12, stepDof: 0.7, dofUm });
  const rows = 6, columns = 9;
  const depthDof = Array.from({ length: rows * columns }, (_, i): number | null => (i % columns) / 8);
  depthDof[10] = null;
  report.tiles = { rows, columns, tilePx: 16, depthDof, bestFrame: depthDof.map(() => 0), contrastLoss: depthDof.map(() => 0), state: depthDof.map((d) => (d === null ? 'no-detail' : 'sharp')) };
  return report;
}
let folder: string;
beforeEach(async () => { folder = await mkdtemp(path.join(tmpdir(), 'rungwise-hand-over-')); });
afterEach(() => rm(folder, { recursive: true, force: true }));

describe('height map', () => {
  /** The scale as words in the file say it, applied to the levels another program (sharp) reads. */
  const depthsFrom = (levels: Uint16Array, description: string): (number | null)[] => {
    const [, nearest, perLevel] = /depth = ([-\d.]+) \+ \(level - 1\) \* ([-\d.e]+) /.exec(description)!;
    return [...levels].map((level) => (level === 0 ? null : Number(nearest) + (level - 1) * Number(perLevel)));
  };
  const read = async (file: Buffer): Promise<Uint16Array> => {
    const { data, info } = await sharp(file).toColourspace('grey16').raw({ depth: 'ushort' }).toBuffer({ resolveWithObject: true });
    expect([info.width, info.height, info.channels]).toEqual([9, 6, 1]);
    return new Uint16Array(data.buffer, data.byteOffset, data.length / 2);
  };

  it.each([['png', 25, 25], ['tif', 25, 25], ['tif', null, 1]] as const)('as %s gives back the depths by the scale written in it (DOF %s µm)', async (kind, dofUm, perDof) => {
    const map = heightMapOf(plane(dofUm));
    const file = kind === 'png' ? heightMapPng(map) : heightMapTiff(map);
    const written = kind === 'png' ? file.toString('latin1') : String((await exifr.parse(file, { pick: ['ImageDescription'] })).ImageDescription);
    const depths = depthsFrom(await read(file), written);
    depths.forEach((depth, i) => {
      if (i === 10) expect(depth).toBeNull();
      // One level is at most 5/65534 of the range and rounding costs half of it.
      else expect(Math.abs(depth! - ((i % 9) / 8) * perDof)).toBeLessThan(perDof * 5e-5);
    });
    expect(written).toMatch(dofUm === null ? /depths of field/ : / um;/);
  });

  it('carries the size of a pixel on the subject: 16 px of 3.9 µm at 5× are 12.48 µm, so 801 a centimetre', async () => {
    const report = plane(25);
    expect(heightMapOf(report).pixelUm).toBeCloseTo(12.48, 9);
    const { density } = await sharp(heightMapPng(heightMapOf(report))).metadata();
    // sharp gives pixels per inch.
    expect(density! / 2.54).toBeCloseTo(1e4 / 12.48, -1);
    const tags = await exifr.parse(heightMapTiff(heightMapOf(report)), { pick: ['XResolution', 'ResolutionUnit'], translateValues: false });
    expect(tags.XResolution).toBeCloseTo(1e4 / 12.48, 2);
    expect(tags.ResolutionUnit).toBe(3);
    expect(heightMapOf(plane(null)).description).toMatch(/not known/);
  });

  it('refuses where nothing was measured', () => {
    const report = plane(25);
    report.tiles.depthDof.fill(null);
    expect(() => heightMapOf(report)).toThrow(UserError);
  });
});

describe('hand-over by the ending of the file', () => {
  it('writes a page, two tables and a map, whole, and nothing else', async () => {
    const report = plane(25);
    expect(await handOver(report, path.join(folder, 'a.html'), rail, null)).toEqual([path.join(folder, 'a.html')]);
    expect(await handOver(report, path.join(folder, 'b.csv'), rail, null)).toEqual([path.join(folder, 'b-steps.csv'), path.join(folder, 'b-frames.csv')]);
    await handOver(report, path.join(folder, 'c.PNG'), rail, null);
    expect((await readdir(folder)).sort()).toEqual(['a.html', 'b-frames.csv', 'b-steps.csv', 'c.PNG']);
    expect(await readFile(path.join(folder, 'a.html'), 'utf8')).toMatch(/^<!doctype html>[\s\S]*<\/html>\n$/);
  });

  it('adds the depths along a line, as a table and drawn', async () => {
    // From the middle of the first column to the middle of the last, 8 tiles of 16 px on: the plane rises by 1/8 DOF a tile, 25 µm a DOF.
    const profile = { from: { row: 60, column: 8 }, to: { row: 60, column: 136 } };
    await handOver(plane(25), path.join(folder, 'a.csv'), { ...rail, profile }, null);
    expect((await readdir(folder)).sort()).toEqual(['a-frames.csv', 'a-profile.csv', 'a-steps.csv']);
    const [head, ...lines] = (await readFile(path.join(folder, 'a-profile.csv'), 'utf8')).trimEnd().split('\r\n');
    expect(head).toBe('distance_px,distance_um,depth_dof,depth_um');
    for (const line of lines) {
      const [px, um, dof, depthUm] = line.split(',').map(Number);
      // 0.78 µm a pixel: 3.9 µm at 5×.
      expect([um, dof, depthUm]).toEqual([expect.closeTo(0.78 * px!, 9), expect.closeTo(px! / 128, 9), expect.closeTo((25 * px!) / 128, 9)]);
    }
    expect(Number(lines.at(-1)!.split(',')[0])).toBe(128);
    await handOver(plane(25), path.join(folder, 'a.html'), { ...rail, profile }, null);
    expect(await readFile(path.join(folder, 'a.html'), 'utf8')).toMatch(/Depth along the line from 8, 60 to 136, 60[\s\S]*<path class="profile" d="M[\d. ]+L/);
  });
  it('says so where nothing lies along the line', () => {
    expect(renderHtmlReport(plane(25), rail.rail, { from: { row: 5000, column: 0 }, to: { row: 5000, column: 90 } })).toMatch(/Nothing was measured along the line/);
  });

  it.each(['report', 'report.docx'])('asks what %s should become', async (name) => {
    await expect(checkHandOver(path.join(folder, name), null)).rejects.toThrow(UserError);
  });
  it('never writes into the stack’s folder', async () => {
    await expect(checkHandOver(path.join(folder, 'a.html'), folder)).rejects.toThrow(/never written to/);
    await expect(handOver(plane(25), path.join(folder, 'a.csv'), rail, folder)).rejects.toThrow(/never written to/);
    expect(await readdir(folder)).toEqual([]);
  });

  it.skipIf(browser === null)('prints a PDF of some pages where there is a browser', async () => {
    await handOver(plane(25), path.join(folder, 'a.pdf'), rail, null);
    const pdf = await readFile(path.join(folder, 'a.pdf'), 'latin1');
    expect(pdf).toMatch(/^%PDF-/);
    // Page objects, not the page tree.
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)!.length).toBeGreaterThanOrEqual(2);
    expect(await readdir(folder)).toEqual(['a.pdf']);
  });
  it('says what to do where the browser fails', async () => {
    const broken = path.join(folder, 'browser');
    await writeFile(broken, '#!/bin/sh\nexit 1\n');
    await chmod(broken, 0o755);
    process.env['RUNGWISE_BROWSER'] = broken;
    try {
      await expect(handOver(plane(25), path.join(folder, 'a.pdf'), rail, null)).rejects.toMatchObject({ remedy: expect.stringMatching(/\.html/) });
    } finally {
      delete process.env['RUNGWISE_BROWSER'];
    }
    expect(await readdir(folder)).toEqual(['browser']);
  });
});
