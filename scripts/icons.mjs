// Draws the program's icon, a ladder of rungs with one missing, and packs it for Windows (.ico), macOS (.icns) and Linux (.png) into packaging/.
import { mkdirSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';

const folder = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', 'packaging');

/** Top and length of each rung on a 64-unit square; the third is the missing one. */
const rungs = [[9, 28], [17, 34], [25, 38], [33, 34], [41, 24], [49, 16]];
const missing = 2;

const drawing = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">
  <rect x="2" y="2" width="60" height="60" rx="13" fill="#16191c"/>
  <rect x="12" y="8" width="2.4" height="48" rx="1.2" fill="#7b8288"/>
  ${rungs.map(([top, length], i) => (i === missing
    ? `<rect x="18.7" y="${top + 0.7}" width="${length - 1.4}" height="4.6" rx="2.3" fill="none" stroke="#f2a36b" stroke-width="1.4" stroke-dasharray="3.2 2.2"/>`
    : `<rect x="18" y="${top}" width="${length}" height="6" rx="3" fill="#9fcbe6"/>`)).join('\n  ')}
</svg>`;

const png = (edge) => sharp(Buffer.from(drawing), { density: (72 * edge) / 64 }).resize(edge, edge).png({ compressionLevel: 9, adaptiveFiltering: false }).toBuffer();

/** An icon file of Windows: a directory of PNG pictures, little endian; 256 is written as 0. */
function ico(pictures) {
  const head = Buffer.alloc(6 + 16 * pictures.length);
  head.writeUInt16LE(1, 2);
  head.writeUInt16LE(pictures.length, 4);
  let at = head.length;
  pictures.forEach(({ edge, bytes }, i) => {
    head.set([edge % 256, edge % 256, 0, 0, 1, 0, 32, 0], 6 + 16 * i);
    head.writeUInt32LE(bytes.length, 14 + 16 * i);
    head.writeUInt32LE(at, 18 + 16 * i);
    at += bytes.length;
  });
  return Buffer.concat([head, ...pictures.map(({ bytes }) => bytes)]);
}

/** An icon file of macOS: named PNG pictures one after the other, big endian. */
function icns(pictures) {
  const part = (name, bytes) => { const head = Buffer.alloc(8); head.write(name, 'latin1'); head.writeUInt32BE(bytes.length + 8, 4); return Buffer.concat([head, bytes]); };
  const names = { 16: 'icp4', 32: 'icp5', 64: 'icp6', 128: 'ic07', 256: 'ic08', 512: 'ic09', 1024: 'ic10' };
  return part('icns', Buffer.concat(pictures.map(({ edge, bytes }) => part(names[edge], bytes))));
}

const pictures = await Promise.all([16, 32, 48, 64, 128, 256, 512, 1024].map(async (edge) => ({ edge, bytes: await png(edge) })));
mkdirSync(folder, { recursive: true });
writeFileSync(path.join(folder, 'icon.svg'), `${drawing}\n`);
writeFileSync(path.join(folder, 'icon.png'), pictures.at(-1).bytes);
writeFileSync(path.join(folder, 'icon.ico'), ico(pictures.filter(({ edge }) => edge <= 256)));
writeFileSync(path.join(folder, 'icon.icns'), icns(pictures.filter(({ edge }) => edge !== 48)));
