import { spawn } from 'node:child_process';
import { constants } from 'node:os';
import path from 'node:path';

const program = path.resolve('bin/rungwise.js');

/** `status` as a shell shows it: 128 + the signal's number where the program was ended by one before it could listen. */
export interface Ended { status: number; stdout: string; stderr: string; ms: number }

/**
 * Runs the built command line as a user does, in a process of its own.
 * @param interruptAfterMs sends Ctrl-C after this long; `ms` then counts from there
 * @param env beside this process's own
 */
export function runCli(args: readonly string[], interruptAfterMs?: number, env: Readonly<Record<string, string>> = {}): Promise<Ended> {
  return new Promise((resolve) => {
    const child = spawn(process.execPath, [program, ...args], { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, NO_COLOR: '1', ...env } });
    let stdout = '', stderr = '', began = performance.now();
    child.stdout.setEncoding('utf8').on('data', (text: string) => { stdout += text; });
    child.stderr.setEncoding('utf8').on('data', (text: string) => { stderr += text; });
    if (interruptAfterMs !== undefined) setTimeout(() => { began = performance.now(); child.kill('SIGINT'); }, interruptAfterMs);
    child.on('close', (status, signal) => resolve({ status: status ?? 128 + (signal === null ? 0 : constants.signals[signal]), stdout, stderr, ms: performance.now() - began }));
  });
}
