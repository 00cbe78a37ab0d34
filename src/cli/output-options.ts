import type { Command } from 'commander';
import { fileOption, fileOrDashOption } from './number-option.js';

/** What commander holds after parsing the options below. */
export interface OutputOptions { json?: string; report?: string; quiet?: true }

/** Adds where results go: every command's `--json` and `--quiet`, and `--report` where a stack is judged. */
export function addOutputOptions(command: Command, jsonHelp: string, example: string, withReport = false): Command {
  command.optionsGroup('What comes out:').option('--json <FILE>', jsonHelp, fileOrDashOption('--json', example));
  if (withReport) command.option('--report <FILE>', 'write the report to read or print, by the ending of its name: .html or .pdf; .csv for tables; .png or .tif for a 16-bit height map', fileOption('--report', 'stack.html'));
  return command.option('--quiet', 'print nothing but failures');
}
