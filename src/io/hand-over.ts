import path from 'node:path';
import { UserError } from '../contract/errors.js';
import type { Report } from '../contract/report.js';
import { depthProfile, type ProfileLine } from '../optics/depth-profile.js';
import type { RailKnowledge } from '../optics/top-up-moves.js';
import { heightMapPng, heightMapTiff } from './height-map-file.js';
import { heightMapOf } from './height-map.js';
import { renderHtmlReport } from './html-report.js';
import { pdfOfPage } from './pdf-of-page.js';
import { framesCsv, profileCsv, stepsCsv } from './report-csv.js';
import { checkTarget, writeFileSafely } from './write-file-safely.js';

/** What goes with a report: the rail the top-up is said for, and a line along which depths are wanted. */
export interface HandOverDetails { rail: RailKnowledge; profile: ProfileLine | null }

interface Part { suffix: string; content: string | Uint8Array }
type Writer = (report: Report, details: HandOverDetails, signal?: AbortSignal) => Promise<Part[]> | Part[];

const only = (content: string | Uint8Array): Part[] => [{ suffix: '', content }];
const page: Writer = (report, { rail, profile }) => only(renderHtmlReport(report, rail, profile));
const tiff: Writer = (report) => only(heightMapTiff(heightMapOf(report)));
/** What a file becomes, by its ending. */
const WRITERS: Readonly<Record<string, Writer>> = {
  '.html': page,
  '.htm': page,
  '.pdf': async (report, { rail, profile }, signal) => only(await pdfOfPage(renderHtmlReport(report, rail, profile), signal)),
  '.csv': (report, { profile }) => [
    { suffix: '-steps', content: stepsCsv(report) }, { suffix: '-frames', content: framesCsv(report) },
    ...(profile === null ? [] : [{ suffix: '-profile', content: profileCsv(depthProfile(report, profile.from, profile.to)) }]),
  ],
  '.png': (report) => only(heightMapPng(heightMapOf(report))),
  '.tif': tiff,
  '.tiff': tiff,
};

/**
 * Checks, before a long analysis, that a report can be handed over to this file.
 *
 * @throws UserError for an ending nobody knows, a missing folder, or a place inside the stack's own folder
 */
export async function checkHandOver(file: string, sourceFolder: string | null): Promise<void> {
  writerFor(file);
  await checkTarget(file, sourceFolder);
}

/**
 * Writes a report by the ending of the file: .html or .pdf to read, .csv for tables (NAME-steps.csv, NAME-frames.csv and, with a line, NAME-profile.csv),
 * .png or .tif for the 16-bit height map.
 *
 * @returns the files written
 * @throws UserError as {@link checkHandOver} does, and where there is nothing to write or no room for it
 */
export async function handOver(report: Report, file: string, details: HandOverDetails, sourceFolder: string | null, signal?: AbortSignal): Promise<string[]> {
  const parts = await writerFor(file)(report, details, signal);
  const { dir, name, ext } = path.parse(file);
  const written: string[] = [];
  for (const { suffix, content } of parts) {
    const target = path.join(dir, `${name}${suffix}${ext}`);
    await writeFileSafely(target, content, sourceFolder);
    written.push(target);
  }
  return written;
}

function writerFor(file: string): Writer {
  const writer = WRITERS[path.extname(file).toLowerCase()];
  if (writer === undefined) throw new UserError(`What should ${path.basename(file)} become?`, 'End its name in .html or .pdf for a report to read, .csv for tables, .png or .tif for the height map.');
  return writer;
}
