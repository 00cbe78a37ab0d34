import { existsSync, readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, it } from 'vitest';
import { runCli } from './cli-process.js';

const pages = ['README.md', 'DEVELOPERS.md', 'CHANGELOG.md', ...readdirSync('docs').filter((name) => name.endsWith('.md')).map((name) => `docs/${name}`)];
const text = (page: string): string => readFileSync(page, 'utf8');

/** Command lines of our own in a page's code blocks, comments taken off: command and options. */
function commandLines(page: string): { command: string; options: string[] }[] {
  const blocks = [...text(page).matchAll(/```sh\n([\s\S]*?)```/g)].map(([, block]) => block.replace(/\\\n\s*/g, ' '));
  return blocks.flatMap((block) => block.split('\n')).flatMap((line) => {
    const words = /^(?:npx )?rungwise (.*?)(?:\s+#.*)?$/.exec(line.trim())?.[1].split(/\s+/) ?? [];
    return words.length === 0 ? [] : [{ command: words[0] === 'rig' ? `rig ${words[1]}` : words[0], options: words.filter((word) => word.startsWith('--')) }];
  });
}

describe('what the documents say', () => {
  it('names commands and options that exist', async () => {
    const lines = pages.flatMap(commandLines);
    expect(lines.length).toBeGreaterThan(12);
    const helps = new Map<string, string>();
    for (const { command, options } of lines) {
      if (command === 'help') continue;
      if (!helps.has(command)) helps.set(command, (await runCli([...command.split(' '), '--help'])).stdout);
      expect(helps.get(command), command).toContain(`Usage: rungwise ${command}`);
      for (const option of options) expect(helps.get(command)?.split(/[\s,]+/), `${command} ${option}`).toContain(option);
    }
  });
  it('links to pages and pictures that are there', () => {
    for (const page of pages) for (const [, to] of text(page).matchAll(/\]\(([^)#:]+)\)/g)) expect(existsSync(path.join(path.dirname(page), to)), `${page}: ${to}`).toBe(true);
  });
  it('names npm scripts that exist', () => {
    const { scripts } = JSON.parse(text('package.json')) as { scripts: Record<string, string> };
    for (const page of pages) for (const [, name] of text(page).matchAll(/npm run ([a-z-]+)/g)) expect(Object.keys(scripts), page).toContain(name);
  });
});
