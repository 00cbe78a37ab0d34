import { request } from 'node:http';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type AddressInfo } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import path from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { UserError } from '../../src/contract/errors.js';
import { startLoopbackServer, type LoopbackServer } from '../../src/serve/http/loopback-server.js';
import { countingBackend } from '../helpers/counting-backend.js';

/** Raw requests, so that every header can be forged. What is refused follows issue 4 point 8 ("the loopback server binds 127.0.0.1, asks a token, checks Host and Origin"). */
describe('the loopback server', () => {
  const windowFolder = mkdtempSync(path.join(tmpdir(), 'rungwise-window-'));
  const counter = countingBackend();
  let server: LoopbackServer;

  beforeAll(async () => {
    writeFileSync(path.join(windowFolder, 'index.html'), '<!doctype html><title>window</title>');
    mkdirSync(path.join(windowFolder, 'assets'));
    writeFileSync(path.join(windowFolder, 'assets', 'a.js'), 'void 0;');
    writeFileSync(path.join(windowFolder, '..', 'rungwise-secret.json'), '{}');
    server = await startLoopbackServer({ backend: counter.backend, windowFolder, port: null });
  });
  afterAll(async () => {
    await server.close();
    rmSync(windowFolder, { recursive: true, force: true });
    rmSync(path.join(windowFolder, '..', 'rungwise-secret.json'), { force: true });
  });

  interface Answer { status: number; headers: Record<string, string | string[] | undefined>; text: string }
  const ask = (method: string, url: string, headers: Record<string, string> = {}, body = ''): Promise<Answer> => new Promise((resolve, reject) => {
    const sent = request({ host: '127.0.0.1', port: server.port, method, path: url, headers }, (response) => {
      let text = '';
      response.on('data', (part) => { text += String(part); });
      response.on('end', () => resolve({ status: response.statusCode ?? 0, headers: response.headers, text }));
    });
    sent.on('error', reject);
    sent.end(method === 'POST' ? body : '');
  });
  const token = (): Record<string, string> => ({ 'x-rungwise-token': server.token, 'content-type': 'application/json' });

  it('lets the address with the token in, sets a cookie no page can read, and takes the token out of the address', async () => {
    const first = await ask('GET', `/?token=${server.token}`);
    expect(first.status).toBe(303);
    expect(first.headers.location).toBe('/');
    const cookie = String(first.headers['set-cookie']);
    expect(cookie).toMatch(/HttpOnly/);
    expect(cookie).toMatch(/SameSite=Strict/);
    const page = await ask('GET', '/', { cookie: cookie.split(';')[0] });
    expect(page.status).toBe(200);
    expect(page.text).toContain('window');
  });

  it.each([
    ['no token', {}], ['a wrong token', { 'x-rungwise-token': 'x'.repeat(32) }], ['an empty token', { 'x-rungwise-token': '' }], ['a wrong cookie', { cookie: 'rungwise-1=x' }],
  ])('refuses everything with %s', async (_what, headers) => {
    counter.asked = 0;
    for (const [method, url] of [['GET', '/'], ['GET', '/assets/a.js'], ['GET', '/?token=wrong'], ['POST', '/message/call/start'], ['POST', '/message/bytes/picture'], ['POST', '/message/stream/analyse']]) {
      expect((await ask(method, url, { 'content-type': 'application/json', ...headers as Record<string, string> }, 'null')).status, url).toBe(403);
    }
    expect(counter.asked).toBe(0);
  });

  it('refuses another Host (a name made to point here) and another Origin, token or not', async () => {
    counter.asked = 0;
    expect((await ask('POST', '/message/call/start', { ...token(), host: `example.org:${server.port}` }, 'null')).status).toBe(400);
    expect((await ask('GET', `/?token=${server.token}`, { host: 'example.org' })).status).toBe(400);
    for (const origin of ['http://example.org', 'null', `http://127.0.0.1:${server.port + 1}`, `https://127.0.0.1:${server.port}`]) {
      expect((await ask('POST', '/message/call/start', { ...token(), origin }, 'null')).status, origin).toBe(403);
    }
    expect((await ask('POST', '/message/call/start', { ...token(), 'sec-fetch-site': 'same-site' }, 'null')).status).toBe(403);
    expect(counter.asked).toBe(0);
    expect((await ask('POST', '/message/call/start', { ...token(), origin: `http://127.0.0.1:${server.port}` }, 'null')).status).toBe(200);
  });

  it('has nothing outside the window’s own files', async () => {
    for (const url of ['/../rungwise-secret.json', '/%2e%2e/rungwise-secret.json', '/assets/../../rungwise-secret.json', '//etc/passwd', '/assets/..%2f..%2frungwise-secret.json', '/message/call/__proto__']) {
      expect((await ask('GET', url, token())).status, url).toBe(404);
    }
    expect((await ask('GET', '/assets/a.js', token())).status).toBe(200);
  });

  it('refuses long bodies, bodies that are no JSON, other types and undeclared messages', async () => {
    counter.asked = 0;
    const long = await ask('POST', '/message/call/open-stack', token(), JSON.stringify({ folder: 'x'.repeat(70_000) }));
    expect(long.status).toBe(422);
    expect(long.text).toContain('too long');
    expect((await ask('POST', '/message/call/start', token(), '{')).status).toBe(422);
    expect((await ask('POST', '/message/call/start', { ...token(), 'content-type': 'text/plain' }, 'null')).status).toBe(415);
    for (const name of ['constructor', 'to-string', 'eval']) expect((await ask('POST', `/message/call/${name}`, token(), 'null')).status, name).toBe(422);
    expect((await ask('POST', '/message/call/list-folders', token(), '{"folder":3}')).status).toBe(422);
    expect(counter.asked).toBe(0);
  });

  it('sends a policy that allows our own files and nothing else', async () => {
    const policy = String((await ask('GET', '/', token())).headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|https?:|\*/);
  });

  it.each([['its own page', '/', 200], ['a refusal', '/?token=wrong', 403], ['nothing', '/absent', 404]])('sends with %s what keeps browsers from guessing types, telling addresses and sharing the page', async (_, url, status) => {
    const { headers, status: answered } = await ask('GET', url, status === 403 ? {} : token());
    expect(answered).toBe(status);
    // OWASP HTTP Headers Cheat Sheet (from memory): the values it recommends for a page that nothing else may use.
    expect(headers).toMatchObject({
      'x-content-type-options': 'nosniff', 'referrer-policy': 'no-referrer', 'cross-origin-opener-policy': 'same-origin', 'cross-origin-resource-policy': 'same-origin',
    });
    for (const thing of ['camera', 'microphone', 'geolocation', 'usb', 'serial']) expect(headers['permissions-policy']).toContain(`${thing}=()`);
  });

  it('listens on the loopback address alone', async () => {
    const outside = Object.values(networkInterfaces()).flat().find((address) => address && !address.internal && address.family === 'IPv4');
    if (!outside) return expect(server.address).toMatch(/^http:\/\/127\.0\.0\.1:/);
    await expect(fetch(`http://${outside.address}:${server.port}/`, { signal: AbortSignal.timeout(3000) })).rejects.toThrow();
  });
  // RFC 6890: all of 127.0.0.0/8 is this machine itself. Who listened on every address would hear here too, network or not.
  it.runIf(process.platform === 'linux')('and on that one alone', async () => {
    for (const address of ['127.0.0.2', '[::1]']) await expect(fetch(`http://${address}:${server.port}/`, { signal: AbortSignal.timeout(3000) }), address).rejects.toThrow();
  });

  it('goes on to the next port where the first is taken, and says so plainly where one was asked for', async () => {
    const second = await startLoopbackServer({ backend: counter.backend, windowFolder, port: null });
    expect(second.port).not.toBe(server.port);
    await second.close();
    const taken = createServer();
    await new Promise<void>((resolve) => taken.listen(0, '127.0.0.1', resolve));
    const { port } = taken.address() as AddressInfo;
    const failed = await startLoopbackServer({ backend: counter.backend, windowFolder, port }).catch((error: unknown) => error);
    taken.close();
    expect(failed).toBeInstanceOf(UserError);
    expect((failed as UserError).message).toContain(`Port ${port} is taken`);
  });
});
