import type { Command } from 'commander';
import type { Limit } from '../io/rig-limits.js';
import { numberOption } from './number-option.js';

/** What commander holds after parsing the options below. */
export interface JudgeOptions { overlap: number; outputWidth?: number }

const OVERLAP: Limit = { min: 0, max: 0.9, what: 'Overlap', unit: '', example: '0.3' };
const OUTPUT_WIDTH: Limit = { min: 200, max: 100_000, what: 'Output width', unit: 'pixels', example: '2000' };

/** Adds what a stack or a plan is judged by. */
export function addJudgeOptions(command: Command, overlapHelp: string): Command {
  return command
    .option('--overlap <SHARE>', overlapHelp, numberOption('--overlap', OVERLAP), 0.3)
    .option('--output-width <PX>', 'judge sharpness at this width of the final picture', numberOption('--output-width', OUTPUT_WIDTH, true));
}

/** Adds the way around measurements kept from earlier runs, for commands that read a whole stack. */
export function addCacheOption(command: Command): Command {
  return command.option('--no-cache', 'measure every frame anew, and keep nothing for the next run');
}

/** Where no option says otherwise: 30 % overlap, every pixel counts. */
export const AS_USUAL = { overlap: 0.3, outputWidthPx: null } as const;
