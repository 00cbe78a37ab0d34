// Lists every part that is shipped and its licence: what the program loads when installed, and what is built into the window or the filters.
// With --texts FILE the licences' own texts are written there.
import { existsSync, readFileSync, readdirSync, statSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..');
const json = (file) => JSON.parse(readFileSync(path.join(root, file), 'utf8'));

/** Licences that ask for no more than their text beside the program. */
export const permissive = new Set(['MIT', 'ISC', 'BSD-2-Clause', 'BSD-3-Clause', 'Apache-2.0', '0BSD', 'BlueOak-1.0.0', 'CC0-1.0', 'Unlicense', 'Zlib', 'OFL-1.1']);

/** Others, each with why it may be shipped. */
export const exceptions = [
  { name: /^@img\/sharp-(?:libvips-|win32-|wasm32)/, licence: /LGPL-3\.0-or-later/, why: 'the picture library and its parts are files of their own, loaded when run and exchangeable, unchanged from the registry' },
];

/** Names a source file imports from packages. */
function importedPackages(folder) {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const file = path.join(folder, entry.name);
    if (entry.isDirectory()) return importedPackages(file);
    if (!/\.(tsx?|css)$/.test(entry.name)) return [];
    return [...readFileSync(file, 'utf8').matchAll(/(?:from|import|@import)\s*\(?['"]([^'".][^'"]*)['"]/g)].map(([, name]) => name.split('/').slice(0, name.startsWith('@') ? 2 : 1).join('/'));
  });
}

/** Packages by place in the lock file, the nearest first as Node looks for them. */
function resolve(packages, from, name) {
  for (let at = from; ; at = at.includes('node_modules/') ? at.slice(0, at.lastIndexOf('node_modules/')).replace(/\/$/, '') : '') {
    const place = at === '' ? `node_modules/${name}` : `${at}/node_modules/${name}`;
    if (packages[place]) return place;
    if (at === '') return null;
  }
}

/** Every shipped package: name, version, licence, where it goes. */
export function shippedParts() {
  const { packages } = json('package-lock.json'), own = json('package.json');
  const found = new Map();
  const add = (place, into) => {
    const entry = packages[place], name = place.slice(place.lastIndexOf('node_modules/') + 'node_modules/'.length);
    const installed = path.join(root, place, 'package.json');
    const licence = entry.license ?? (existsSync(installed) ? JSON.parse(readFileSync(installed, 'utf8')).license : undefined) ?? 'unknown';
    found.set(place, { name, version: entry.version, licence, into, place });
  };
  const visit = (place, into) => {
    if (place === null || found.has(place)) return;
    add(place, into);
    const entry = packages[place];
    for (const child of Object.keys({ ...entry.dependencies, ...entry.optionalDependencies })) visit(resolve(packages, place, child), into);
  };
  for (const name of Object.keys(own.dependencies)) visit(resolve(packages, '', name), 'installed');
  for (const name of new Set(importedPackages(path.join(root, 'renderer')))) visit(resolve(packages, '', name), 'built into the window');
  // Of these two it is their own code alone: what their packages bring along serves to install and to compile.
  for (const [name, into] of [['assemblyscript', 'built into the filters'], ['electron', 'desktop shell']]) add(resolve(packages, '', name), into);
  return [...found.values()].sort((a, b) => a.name.localeCompare(b.name));
}

/** Whether a licence (or one of those offered) may be shipped. */
export function mayShip({ name, licence }) {
  const offered = licence.replace(/[()]/g, '').split(/ OR /);
  if (offered.some((one) => one.split(/ AND /).every((each) => permissive.has(each.trim())))) return true;
  return exceptions.some((exception) => exception.name.test(name) && exception.licence.test(licence));
}

function licenceText({ place }) {
  const folder = path.join(root, place);
  if (!existsSync(folder)) return null;
  const file = readdirSync(folder).find((name) => /^(licen[cs]e|copying)/i.test(name) && statSync(path.join(folder, name)).isFile());
  return file === undefined ? null : readFileSync(path.join(folder, file), 'utf8').trim();
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const parts = shippedParts(), to = process.argv[process.argv.indexOf('--texts') + 1];
  if (process.argv.includes('--texts')) {
    const texts = parts.map((part) => `${part.name} ${part.version} (${part.licence}), ${part.into}\n\n${licenceText(part) ?? `Licence: ${part.licence}. Its text is not in the package.`}`);
    writeFileSync(to, `${texts.join(`\n\n${'-'.repeat(78)}\n\n`)}\n`);
  } else {
    for (const part of parts) console.log(`${part.name.padEnd(44)} ${part.version.padEnd(12)} ${part.licence.padEnd(30)} ${part.into}`);
  }
}
