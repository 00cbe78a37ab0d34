import { readdirSync } from 'node:fs';
import path from 'node:path';
import { ESLint } from 'eslint';
import { describe, expect, it } from 'vitest';

/** The layers of the design (style.md, Layout), each with what it may import; written out here so that the lint rule is checked against something else than itself. */
const below: Record<string, readonly string[]> = {
  contract: [],
  optics: ['contract'],
  image: ['contract', 'optics'],
  sharpness: ['contract', 'optics', 'image'],
  simd: ['contract', 'optics', 'image', 'sharpness'],
  registration: ['contract', 'optics', 'image', 'simd'],
  ladder: ['contract', 'optics', 'image', 'sharpness', 'simd', 'registration'],
  diagnosis: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder'],
  pipeline: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis'],
  io: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'simd'],
  serve: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'io'],
  cli: ['contract', 'optics', 'image', 'sharpness', 'registration', 'ladder', 'diagnosis', 'pipeline', 'io', 'serve'],
};
const layers = Object.keys(below);
const eslint = new ESLint();

/** Names the rules a one-line file of a layer breaks. */
async function rulesBroken(folder: string, source: string): Promise<(string | null)[]> {
  const [result] = await eslint.lintText(source, { filePath: path.resolve(folder, 'import-probe.ts') });
  return result.messages.map((message) => message.ruleId);
}

function fileOf(layer: string): string {
  const file = readdirSync(path.join('src', layer), { recursive: true, encoding: 'utf8' }).find((name) => name.endsWith('.ts'))?.replaceAll('\\', '/');
  if (file === undefined) throw new Error(`src/${layer} holds no file`);
  return file.replace(/\.ts$/, '.js');
}

describe('imports point one way', () => {
  it('every folder of the sources is a layer; types only describes libraries that do not describe themselves', () => {
    expect(readdirSync('src').filter((name) => name !== 'types').sort()).toEqual([...layers].sort());
  });

  it.each(layers)('src/%s may import what lies below it and nothing else', async (layer) => {
    const others = layers.filter((other) => other !== layer);
    const broken = await Promise.all(others.map((other) => rulesBroken(`src/${layer}`, `import * as it from '../${other}/${fileOf(other)}';\nexport const x = it;\n`)));
    const refused = others.filter((_, i) => broken[i].includes('import-x/no-restricted-paths'));
    expect(refused).toEqual(others.filter((other) => !below[layer].includes(other)));
  });

  it.each(layers.filter((layer) => layer !== 'contract' && layer !== 'optics'))('the window may not import src/%s', async (layer) => {
    const broken = await rulesBroken('renderer', `import * as it from '../src/${layer}/${fileOf(layer)}';\nexport const x = it;\n`);
    expect(broken).toContain('import-x/no-restricted-paths');
  });

  it.each(['src/contract', 'src/optics', 'src/image', 'src/sharpness', 'src/simd', 'src/registration', 'src/ladder', 'src/diagnosis', 'src/pipeline', 'renderer'])('%s stays free of Node', async (folder) => {
    for (const name of ['node:fs', 'node:path', 'sharp', 'electron']) {
      expect(await rulesBroken(folder, `import it from '${name}';\nexport const x = it;\n`), name).toContain('no-restricted-imports');
    }
  });
});
