import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { startLoopbackServer, type LoopbackServer } from '../../src/serve/http/loopback-server.js';
import { countingBackend } from '../helpers/counting-backend.js';

/** Clients that send nonsense, too much, or nothing at all, byte by byte. */
describe('the loopback server and bad clients', () => {
  const windowFolder = mkdtempSync(path.join(tmpdir(), 'rungwise-window-')), sockets: Socket[] = [];
  const counter = countingBackend();
  let server: LoopbackServer;
  beforeAll(async () => {
    writeFileSync(path.join(windowFolder, 'index.html'), '<!doctype html><title>window</title>');
    server = await startLoopbackServer({ backend: counter.backend, windowFolder, port: null, requestTimeoutMs: 1_000 });
  });
  afterEach(() => { for (const socket of sockets.splice(0)) socket.destroy(); });
  afterAll(async () => { await server.close(); rmSync(windowFolder, { recursive: true }); });

  /** Everything the server says until it closes. */
  const say = (...parts: string[]): { socket: Socket; heard: Promise<string> } => {
    const socket = connect(server.port, '127.0.0.1');
    sockets.push(socket);
    let text = '';
    socket.on('data', (part) => { text += part.toString('latin1'); });
    socket.on('error', () => undefined);
    for (const part of parts) socket.write(part);
    return { socket, heard: new Promise((resolve) => socket.on('close', () => resolve(text))) };
  };
  const head = (line: string, ...more: string[]): string => [line, `Host: 127.0.0.1:${server.port}`, `X-Rungwise-Token: ${server.token}`, 'Connection: close', ...more, '', ''].join('\r\n');
  const alive = async (): Promise<void> => expect(await say(head('GET / HTTP/1.1')).heard).toMatch(/^HTTP\/1\.1 200 /);

  it.each(['//', '/%', '/\\', 'http://[', '*', '/message/call/%00', '//[::1', '/../..//'])('answers "%s" with a refusal and goes on', async (url) => {
    expect(await say(head(`GET ${url} HTTP/1.1`)).heard).toMatch(/^HTTP\/1\.1 4\d\d /);
    await alive();
  });
  it('refuses what is no HTTP, and addresses and headers without end', async () => {
    expect(await say('\x16\x03\x01\x02\0nonsense\r\n\r\n').heard).toMatch(/^HTTP\/1\.1 400 /);
    expect(await say(head(`GET /${'a'.repeat(9_000)} HTTP/1.1`)).heard).toMatch(/^HTTP\/1\.1 404 /);
    expect(await say(head('GET / HTTP/1.1', `X-Long: ${'a'.repeat(20_000)}`)).heard).toMatch(/^HTTP\/1\.1 431 /);
    await alive();
  });
  it('cuts off a body longer than any question, without reading it', async () => {
    counter.asked = 0;
    const { socket, heard } = say(head('POST /message/call/start HTTP/1.1', 'Content-Type: application/json', 'Content-Length: 1000000000'));
    const fill = setInterval(() => { if (socket.writable) socket.write('x'.repeat(65_536)); }, 1);
    await heard;
    clearInterval(fill);
    expect(socket.bytesWritten).toBeLessThan(50e6);
    expect(counter.asked).toBe(0);
    await alive();
  });
  it.each([['the head of', 'POST /message/call/start HTTP/1.1\r\nHost: 127.'], ['the body of', null]])('does not wait for ever for %s a question', async (_, text) => {
    const began = performance.now();
    const words = await say(text ?? head('POST /message/call/start HTTP/1.1', 'Content-Type: application/json', 'Content-Length: 20'), text === null ? '{"a' : '').heard;
    expect(performance.now() - began).toBeLessThan(10_000);
    expect(words === '' || words.startsWith('HTTP/1.1 4')).toBe(true);
    await alive();
  });
  it('answers while many others hold their connections', async () => {
    for (let i = 0; i < 60; i++) say('POST /message/call/start HTTP/1.1\r\n');
    await alive();
  });
  it('holds no more than a hundred connections, and takes new ones when old ones have gone', async () => {
    const held = Array.from({ length: 130 }, () => say('GET / HTTP/1.1\r\n'));
    const words = await Promise.all(held.map(({ heard }) => heard));
    // Who was let in is told that its time is up (408); who was not hears nothing.
    expect(words.filter((text) => text === '')).toHaveLength(30);
    expect(words.filter((text) => text.startsWith('HTTP/1.1 408'))).toHaveLength(100);
    await alive();
  });
  it('gives up an answer nobody waits for any more', async () => {
    for (let i = 0; i < 20; i++) say(head('POST /message/stream/analyse HTTP/1.1', 'Content-Type: application/json', 'Content-Length: 4'), 'null').socket.destroy();
    await alive();
  });
});
