// A drive that is slow, does not answer, or has gone: shows one folder at another place through the kernel's FUSE interface (linux/fuse.h, protocol 7.31).
// node drive-server.mjs FOLDER PLACE; its parent tells it how to behave. Needs Linux, /dev/fuse and the right to mount.
import { spawnSync } from 'node:child_process';
import fs from 'node:fs';
import path from 'node:path';

const [folder, place] = process.argv.slice(2);
/** `delayMs` before every answer; files named in `silent` are never answered for from that byte on (−1: not even their size); '' stands for the list of files. */
let manner = { delayMs: 0, silent: {} };

const fuse = fs.openSync('/dev/fuse', 'r+');
const mounted = spawnSync('mount', ['-i', '-t', 'fuse', '-o', 'fd=3,rootmode=40000,user_id=0,group_id=0,ro', 'odd-drive', place], { stdio: ['ignore', 'ignore', 'pipe', fuse], encoding: 'utf8' });
if (mounted.status !== 0) { process.stderr.write(mounted.stderr); process.exit(1); }

const ROOT = 1n, names = fs.readdirSync(folder), ENOENT = -2, EINTR = -4, ENOSYS = -38;
const op = { lookup: 1, forget: 2, getattr: 3, open: 14, read: 15, statfs: 17, release: 18, flush: 25, init: 26, opendir: 27, readdir: 28, releasedir: 29, access: 34, interrupt: 36, batchForget: 42 };
/** FUSE_PARALLEL_DIROPS: one file that is not answered for holds up no other. */
const PARALLEL_LOOKUPS = 1 << 18;
const nodeOf = (name) => BigInt(2 + names.indexOf(name)), nameOf = (node) => names[Number(node) - 2];
const descriptors = names.map((name) => fs.openSync(path.join(folder, name), 'r'));

function attributes(node) {
  const out = Buffer.alloc(88), isRoot = node === ROOT, size = isRoot ? 0 : fs.fstatSync(descriptors[Number(node) - 2]).size;
  out.writeBigUInt64LE(node, 0);
  out.writeBigUInt64LE(BigInt(size), 8);
  out.writeBigUInt64LE(BigInt(Math.ceil(size / 512)), 16);
  out.writeUInt32LE(isRoot ? 0o40755 : 0o100644, 60);
  out.writeUInt32LE(1, 64);
  out.writeUInt32LE(4096, 80);
  return out;
}

function directory(offset, room) {
  const parts = [];
  let length = 0;
  for (let i = offset; i < names.length; i++) {
    const name = Buffer.from(names[i]), entry = Buffer.alloc(24 + Math.ceil(name.length / 8) * 8);
    entry.writeBigUInt64LE(nodeOf(names[i]), 0);
    entry.writeBigUInt64LE(BigInt(i + 1), 8);
    entry.writeUInt32LE(name.length, 16);
    entry.writeUInt32LE(8, 20);
    name.copy(entry, 24);
    if (length + entry.length > room) break;
    parts.push(entry);
    length += entry.length;
  }
  return Buffer.concat(parts);
}

/** The answer's body, an error's number, or null: none is expected, or none is given. */
function answerTo(code, node, body) {
  const name = node === ROOT ? '' : nameOf(node), silentFrom = manner.silent[name];
  switch (code) {
    case op.init: { const out = Buffer.alloc(64); out.writeUInt32LE(7, 0); out.writeUInt32LE(31, 4); out.writeUInt32LE(131_072, 8); out.writeUInt32LE(PARALLEL_LOOKUPS, 12); out.writeUInt32LE(4096, 20); out.writeUInt32LE(1, 24); return out; }
    case op.lookup: {
      const asked = body.toString('utf8', 0, body.indexOf(0));
      if (!names.includes(asked)) return ENOENT;
      if (manner.silent[asked] === -1) return null;
      const out = Buffer.alloc(40);
      out.writeBigUInt64LE(nodeOf(asked), 0);
      return Buffer.concat([out, attributes(nodeOf(asked))]);
    }
    case op.getattr: return silentFrom === -1 ? null : Buffer.concat([Buffer.alloc(16), attributes(node)]);
    // FOPEN_KEEP_CACHE: what was read once the system keeps, as it does for a disk.
    case op.open: case op.opendir: { const out = Buffer.alloc(16); out.writeUInt32LE(2, 8); return out; }
    case op.read: {
      const from = Number(body.readBigUInt64LE(8)), out = Buffer.alloc(body.readUInt32LE(16));
      if (silentFrom !== undefined && from + out.length > silentFrom) return null;
      return out.subarray(0, fs.readSync(descriptors[Number(node) - 2], out, 0, out.length, from));
    }
    case op.readdir: return silentFrom === -1 ? null : directory(Number(body.readBigUInt64LE(8)), body.readUInt32LE(16));
    case op.statfs: return Buffer.alloc(80);
    case op.release: case op.releasedir: case op.flush: case op.access: return Buffer.alloc(0);
    // Who waits is being ended: the system lets it go only with an answer.
    case op.interrupt: reply(body.readBigUInt64LE(0), EINTR); return null;
    case op.forget: case op.batchForget: return null;
    default: return ENOSYS;
  }
}

function reply(unique, answer) {
  const body = typeof answer === 'number' ? Buffer.alloc(0) : answer, head = Buffer.alloc(16);
  head.writeUInt32LE(16 + body.length, 0);
  head.writeInt32LE(typeof answer === 'number' ? answer : 0, 4);
  head.writeBigUInt64LE(unique, 8);
  try { fs.writeSync(fuse, Buffer.concat([head, body])); } catch { /* who asked has gone */ }
}

const request = Buffer.alloc(200_000);
function next() {
  fs.read(fuse, request, 0, request.length, null, (error, length) => {
    if (error) { if (error.code === 'ENODEV') process.exit(0); next(); return; }
    const code = request.readUInt32LE(4), unique = request.readBigUInt64LE(8), answer = answerTo(code, request.readBigUInt64LE(16), request.subarray(40, length));
    if (answer !== null) { if (manner.delayMs > 0) setTimeout(reply, manner.delayMs, unique, answer); else reply(unique, answer); }
    next();
  });
}
next();
process.on('message', (told) => { manner = told; process.send('done'); });
process.on('disconnect', () => process.exit(0));
process.send('ready');
