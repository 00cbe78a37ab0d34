import { createReadStream, createWriteStream } from 'node:fs';
import { access, constants, mkdir, readdir, realpath, rename, stat, statfs, utimes, writeFile } from 'node:fs/promises';
import path from 'node:path';
import { pipeline } from 'node:stream/promises';
import { CancelledError, UserError } from '../contract/errors.js';
import type { FrameFlag, Report } from '../contract/report.js';
import { csv } from './report-csv.js';
import { explainCopyError } from './explain-copy-error.js';
import { liesIn } from './lies-in.js';
import { Leftovers } from './leftovers.js';

export interface OrderOptions {
  /** Frames with one of these flags are not copied. */
  leaveOut: readonly FrameFlag[];
  signal?: AbortSignal;
  onCopied?: (done: number, all: number) => void;
}

export interface OrderResult {
  folder: string;
  /** Names in the new folder, in depth order, and which of the report's frames each is. */
  copied: { file: string; index: number }[];
  /** Frames not copied, each with why. */
  leftOut: { file: string; why: string }[];
}

/** The list that goes along with the copies. */
export const ORDER_LIST = 'order.csv';

/**
 * Copies the frames of a stack into a new folder, numbered along the depth axis, with a list of what is what. Originals are only read.
 * Either all of it is there in the end, or nothing.
 *
 * @param targetFolder a folder that does not exist yet or is empty; its parent must exist
 * @throws UserError where the target lies in the stack's folder, holds files already, may not be written or has no room; CancelledError when the signal fires
 */
export async function orderCopy(report: Report, targetFolder: string, options: OrderOptions): Promise<OrderResult> {
  const source = report.stack.folder;
  const target = await checkOrderTarget(targetFolder, source);
  const { take, leftOut } = chooseFrames(report, options.leaveOut);
  if (take.length === 0) throw new UserError('No frame is left to copy.', 'Leave out fewer frames, or check the stack first.');
  const digits = Math.max(3, String(take.length).length);
  const names = take.map((index, k) => `${String(k + 1).padStart(digits, '0')}-${path.basename(report.stack.frames[index].file)}`);
  const leftovers = new Leftovers();
  try {
    await makeFolder(target, leftovers);
    await checkRoom(report, take, target);
    for (const [k, index] of take.entries()) {
      await copyWhole(path.join(source, report.stack.frames[index].file), path.join(target, names[k]), leftovers, options.signal);
      options.onCopied?.(k + 1, take.length);
    }
    leftovers.addFile(path.join(target, ORDER_LIST));
    await writeFile(path.join(target, ORDER_LIST), listText(report, take, names, leftOut), { flag: 'wx' });
    if (options.signal?.aborted) throw new CancelledError();
    leftovers.keep();
  } catch (error) {
    leftovers.remove();
    throw options.signal?.aborted ? new CancelledError() : explainCopyError(error, targetFolder);
  }
  return { folder: target, copied: names.map((file, k) => ({ file, index: take[k] })), leftOut };
}

/**
 * Checks, before a long analysis, that copies may go there.
 *
 * @returns the target as an absolute path
 * @throws UserError as {@link orderCopy} does
 */
export async function checkOrderTarget(targetFolder: string, sourceFolder: string): Promise<string> {
  const whole = path.resolve(targetFolder);
  const parent = await realpath(path.dirname(whole)).catch(() => {
    throw new UserError(`There is no folder ${path.dirname(whole)} to put the copies into.`, 'Make it first, or name another with --to.');
  });
  const target = await realpath(whole).catch(() => path.join(parent, path.basename(whole)));
  if (await liesIn(target, path.resolve(sourceFolder))) {
    throw new UserError(`${targetFolder} lies in the stack's own folder, which is never written to.`, 'Name a folder somewhere else with --to.');
  }
  const found = await stat(target).catch(() => null);
  // Told before a long analysis rather than after it.
  await access(found === null ? parent : target, constants.W_OK).catch((error: unknown) => { throw explainCopyError(error, targetFolder); });
  if (found === null) return target;
  if (!found.isDirectory()) throw new UserError(`${targetFolder} is a file.`, 'Name a new or an empty folder with --to.');
  const held = await readdir(target).catch((error: unknown) => { throw explainCopyError(error, targetFolder); });
  if (held.length > 0) throw new UserError(`${targetFolder} already holds files (such as ${held[0]}); nothing was copied.`, 'Name a new or an empty folder with --to.');
  return target;
}

function chooseFrames(report: Report, leaveOut: readonly FrameFlag[]): { take: number[]; leftOut: OrderResult['leftOut'] } {
  const { frames, order } = report.stack;
  const placed = new Set(order);
  const why = (index: number): string | null => {
    const { flags } = frames[index];
    if (!placed.has(index) || flags.includes('unreadable')) return flags.join(' ') || 'no place on the depth axis';
    return flags.find((flag) => leaveOut.includes(flag)) ?? null;
  };
  const leftOut = frames.flatMap((frame, index) => { const reason = why(index); return reason === null ? [] : [{ file: frame.file, why: reason }]; });
  return { take: order.filter((index) => why(index) === null), leftOut };
}

async function makeFolder(target: string, leftovers: Leftovers): Promise<void> {
  try {
    await mkdir(target);
    leftovers.addFolder(target);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
}

async function checkRoom(report: Report, take: readonly number[], target: string): Promise<void> {
  const sizes = await Promise.all(take.map(async (index) => (await stat(path.join(report.stack.folder, report.stack.frames[index].file))).size));
  const needed = sizes.reduce((sum, size) => sum + size, 0);
  const disk = await statfs(target).catch(() => null);
  // Some network drives say nothing about their room; the copy itself will then tell.
  if (disk === null || disk.blocks === 0) return;
  const free = disk.bavail * disk.bsize;
  if (needed > free) {
    throw new UserError(`The copies need ${Math.ceil(needed / 1e6)} MB and the disk has ${Math.floor(free / 1e6)} MB left; nothing was copied.`, 'Make room, or name another drive with --to.');
  }
}

/** Copies under a hidden name and renames, so that nobody meets half a picture; the picture keeps its time. */
async function copyWhole(from: string, to: string, leftovers: Leftovers, signal?: AbortSignal): Promise<void> {
  const aside = path.join(path.dirname(to), `.${path.basename(to)}.part`);
  leftovers.addFile(aside);
  await pipeline(createReadStream(from), createWriteStream(aside, { flags: 'wx', flush: true }), { signal });
  const { atime, mtime } = await stat(from);
  await utimes(aside, atime, mtime);
  leftovers.addFile(to);
  await rename(aside, to);
}

function listText(report: Report, take: readonly number[], names: readonly string[], leftOut: OrderResult['leftOut']): string {
  const { frames } = report.stack;
  return csv([
    ['number', 'file', 'original', 'position_dof', 'sigma_dof', 'position_um', 'flags', 'left_out_because'],
    ...take.map((index, k) => [k + 1, names[k], frames[index].file, frames[index].positionDof, frames[index].positionSigmaDof, frames[index].positionUm, frames[index].flags.join(' '), null]),
    ...leftOut.map(({ file, why }) => [null, null, file, null, null, null, null, why]),
  ]);
}
