import { mkdir, writeFile } from 'node:fs/promises';
import path from 'node:path';
import sharp from 'sharp';
import type { Report } from '../../../src/contract/report.js';
import { seededRandom } from './seeded-random.js';

/** Writes pictures that look roughly like the report's frames: facets, sharp where the report says the surface is near the frame's focus. */
export async function writeFixtureFrames(report: Report, folder: string): Promise<void> {
  await mkdir(folder, { recursive: true });
  const { width, height, frames } = report.stack;
  const sharpPixels = await facets(width, height);
  const softPixels = await sharp(sharpPixels, { raw: { width, height, channels: 3 } }).blur(Math.max(2, width / 190)).raw().toBuffer();
  const { tiles } = report;
  for (const frame of frames) {
    const mixed = Buffer.from(softPixels);
    for (let r = 0; r < height; r++) {
      for (let c = 0; c < width; c++) {
        const depth = tiles.depthDof[Math.floor(r / tiles.tilePx) * tiles.columns + Math.floor(c / tiles.tilePx)];
        if (depth === null || Math.abs(depth - (frame.positionDof ?? 0)) > 1.2) continue;
        const share = 1 - Math.abs(depth - (frame.positionDof ?? 0)) / 1.2;
        for (let k = 0, i = (r * width + c) * 3; k < 3; k++, i++) mixed[i] += share * (sharpPixels[i] - mixed[i]);
      }
    }
    await writeFile(path.join(folder, frame.file), await sharp(mixed, { raw: { width, height, channels: 3 } }).jpeg({ quality: 88 }).toBuffer());
  }
}

async function facets(width: number, height: number): Promise<Buffer> {
  const random = seededRandom(41);
  const parts: string[] = [];
  for (let i = 0; i < 220; i++) {
    const x = random() * width, y = random() * height, radius = width * (0.02 + 0.07 * random());
    const corners = Array.from({ length: 5 }, (_, k) => {
      const turn = (k + 0.6 * random()) * 1.2566;
      return `${(x + radius * Math.cos(turn)).toFixed(1)},${(y + radius * Math.sin(turn)).toFixed(1)}`;
    });
    const hue = 250 + 70 * random();
    parts.push(`<polygon points="${corners.join(' ')}" fill="hsl(${hue.toFixed(0)},${(12 + 25 * random()).toFixed(0)}%,${(22 + 45 * random()).toFixed(0)}%)" stroke="hsl(${hue.toFixed(0)},15%,78%)" stroke-width="1"/>`);
    for (let k = 0; k < 6; k++) parts.push(`<line x1="${(x - radius / 2).toFixed(1)}" y1="${(y - radius / 2 + k * radius / 6).toFixed(1)}" x2="${(x + radius / 2).toFixed(1)}" y2="${(y - radius / 3 + k * radius / 6).toFixed(1)}" stroke="hsl(${hue.toFixed(0)},10%,${(30 + 40 * random()).toFixed(0)}%)" stroke-width="0.8"/>`);
  }
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}"><rect width="100%" height="100%" fill="#4a4450"/>${parts.join('')}</svg>`;
  return sharp(Buffer.from(svg)).removeAlpha().toColourspace('srgb').raw().toBuffer();
}
