import { spawn } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { CancelledError, UserError } from '../contract/errors.js';
import { findBrowser } from './find-browser.js';
import { paperSize } from './paper-size.js';

const PATIENCE_MS = 60_000;

/**
 * Prints a self-contained page to PDF with a browser that is on the computer, without a window and without a request to anywhere.
 *
 * @param page HTML with a style element, which leaves the paper's size open
 * @returns the PDF file
 * @throws UserError where there is no browser or it can't print; CancelledError when the signal fires
 */
export async function pdfOfPage(page: string, signal?: AbortSignal): Promise<Buffer> {
  const browser = await findBrowser();
  if (browser === null) throw new UserError('A PDF needs a browser on this computer, and none was found.', 'Save the report as .html and print that to PDF, or name a browser in RUNGWISE_BROWSER.');
  const folder = await mkdtemp(path.join(tmpdir(), 'rungwise-'));
  try {
    const source = path.join(folder, 'report.html');
    const target = path.join(folder, 'report.pdf');
    await writeFile(source, page.replace('</style>', `@page{size:${paperSize()}}</style>`));
    await run(browser, [
      '--headless', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync',
      // The browser refuses its sandbox to the system's administrator; the page is ours and runs no script.
      ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
      `--user-data-dir=${path.join(folder, 'profile')}`, '--no-pdf-header-footer', `--print-to-pdf=${target}`, pathToFileURL(source).href,
    ], signal);
    const pdf = await readFile(target).catch(() => null);
    if (pdf === null || pdf.subarray(0, 5).toString('latin1') !== '%PDF-') throw cannotPrint(browser);
    return pdf;
  } finally {
    // The browser's last processes may still be writing into its profile.
    await rm(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}

function run(program: string, words: string[], signal?: AbortSignal): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, words, { stdio: 'ignore', timeout: PATIENCE_MS, killSignal: 'SIGKILL', signal });
    child.on('error', () => reject(signal?.aborted ? new CancelledError() : cannotPrint(program)));
    child.on('close', (code) => (code === 0 ? resolve() : reject(signal?.aborted ? new CancelledError() : cannotPrint(program))));
  });
}

function cannotPrint(browser: string): UserError {
  return new UserError(`${path.basename(browser)} did not make a PDF.`, 'Save the report as .html and print that to PDF from a browser.');
}
