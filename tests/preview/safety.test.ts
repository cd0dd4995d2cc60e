import { readdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { request } from 'node:http';
import { networkInterfaces } from 'node:os';
import { describe, expect, it, onTestFinished } from 'vitest';
import { openSession } from '../../src/preview/open.js';
import { KEY_HEADER } from '../../src/preview/protocol.js';
import { type Preview, servePreview } from '../../src/preview/server.js';
import { SCENE, type Work, workFolder } from './support.js';

async function served(): Promise<Preview & { readonly work: Work }> {
  const work = await workFolder();
  const session = await openSession(work.file('scene.yaml'));
  const preview = await servePreview(session);
  onTestFinished(async () => {
    session.close();
    await preview.close();
  });
  return { ...preview, work };
}

interface Asked {
  readonly method?: string;
  readonly headers?: Readonly<Record<string, string>>;
  readonly body?: string;
  readonly host?: string;
}

interface Answer {
  readonly status: number;
  readonly headers: Readonly<Record<string, unknown>>;
  readonly text: string;
}

/** A request by hand: a browser would not send most of these. The path goes out as it is. */
const ask = (
  port: number,
  path: string,
  { method = 'GET', headers = {}, body, host }: Asked = {},
) =>
  new Promise<Answer>((resolve, reject) => {
    const address = { host: host ?? '127.0.0.1', port, path, method };
    const sent = request({ ...address, headers }, (response) => {
      let text = '';
      response.setEncoding('utf8').on('data', (part: string) => {
        text += part;
        // A stream that never ends has said enough.
        if (path === '/api/events') sent.destroy();
      });
      response.on('close', () =>
        resolve({ status: response.statusCode ?? 0, headers: response.headers, text }),
      );
      response.on('error', () => {});
    });
    sent.on('error', reject);
    sent.end(body);
  });

const json = (key: string, body: unknown, more: Readonly<Record<string, string>> = {}): Asked => ({
  method: 'POST',
  headers: { 'content-type': 'application/json', [KEY_HEADER]: key, ...more },
  body: JSON.stringify(body),
});

describe('the preview’s server', () => {
  it('answers its own page, with a policy that lets nothing in from elsewhere', async () => {
    const { port, address, key } = await served();
    expect(address).toBe(`http://127.0.0.1:${port}/#${key}`);
    expect(key.length).toBeGreaterThanOrEqual(32);
    const { status, headers, text } = await ask(port, '/');
    expect(status).toBe(200);
    expect(text).toContain('<title>Orbreel</title>');
    expect(text).not.toContain(key);
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).toContain("script-src 'self'");
    expect(policy).toContain("frame-ancestors 'none'");
    expect(policy).not.toMatch(/unsafe|\*|https?:/u);
    expect(headers['x-content-type-options']).toBe('nosniff');
    expect(headers['cross-origin-resource-policy']).toBe('same-origin');
    // Nothing in the page names another place.
    const links = [...text.matchAll(/(?:src|href)="([^"]+)"/gu)].map(([, link]) => link!);
    expect(links.length).toBeGreaterThan(2);
    for (const link of links) {
      expect(link).toMatch(/^\//u);
      const file = await ask(port, link);
      expect(file.status, link).toBe(200);
      if (link.endsWith('.js')) expect(file.text).not.toMatch(/\beval\(|new Function\(/u);
    }
  });

  it('listens on this computer’s own address alone', async () => {
    const { port } = await served();
    const others = Object.values(networkInterfaces())
      .flatMap((list) => list ?? [])
      .filter(({ internal, family }) => !internal && family === 'IPv4');
    for (const { address } of others) {
      await expect(ask(port, '/', { host: address })).rejects.toThrow('ECONNREFUSED');
    }
    await expect(ask(port, '/', { host: '127.0.0.2' })).rejects.toThrow('ECONNREFUSED');
  });

  it.each([
    ['a name that was made to point here', { host: 'evil.example' }],
    ['the same with our port', { host: 'evil.example:PORT' }],
    ['another port', { host: '127.0.0.1:1' }],
    ['another site’s page', { origin: 'https://evil.example' }],
    ['a page of another port', { origin: 'http://127.0.0.1:1' }],
    ['a page without an origin', { origin: 'null' }],
    ['a site that only loads us', { 'sec-fetch-site': 'cross-site' }],
  ])('refuses %s, key or no key', async (_, given) => {
    const { port, key, work } = await served();
    const headers = Object.fromEntries(
      Object.entries(given).map(([name, value]) => [name, value.replace('PORT', String(port))]),
    );
    expect((await ask(port, '/', { headers })).status).toBe(403);
    const { status } = await ask(port, '/api/text', json(key, { text: 'x' }, headers));
    expect(status).toBe(403);
    expect(work.read('scene.yaml')).toBe(SCENE);
  });

  it.each([
    ['none', {}],
    ['a wrong one', { [KEY_HEADER]: 'A'.repeat(32) }],
    ['an empty one', { [KEY_HEADER]: '' }],
  ])('does and tells nothing with %s for a key', async (_, headers) => {
    const { port, key, work } = await served();
    for (const name of ['edit', 'text', 'undo', 'save', 'settle', 'render', 'stop', 'shot']) {
      const asked = {
        ...json(key, {}),
        headers: { 'content-type': 'application/json', ...headers },
      };
      expect((await ask(port, `/api/${name}`, asked)).status, name).toBe(401);
    }
    for (const name of ['events', 'texels?id=1&level=0&x=0&y=0&width=1&height=1']) {
      const { status, text } = await ask(port, `/api/${name}`, { headers });
      expect([status, text]).toEqual([401, expect.not.stringContaining('park.png')]);
    }
    expect(readdirSync(work.folder).sort()).toEqual(['park.png', 'scene.yaml']);
  });

  it.each([
    '/../../../package.json',
    '/..%2f..%2fpackage.json',
    '/assets/../../server.js',
    '/assets/..%2f..%2fserver.js',
    '/assets/....//server.js',
    '/assets/%2e%2e/%2e%2e/server.js',
    '//etc/passwd',
    '/assets/',
    '/index.html%00.js',
    '/.env',
    '/api/../server.js',
  ])('gives out no file by the path %s', async (path) => {
    const { port } = await served();
    const { status, text } = await ask(port, path);
    expect(status).toBeGreaterThanOrEqual(400);
    expect(text).not.toMatch(/root:|"name"|createServer/u);
  });

  it.each(['../elsewhere', '/elsewhere', 'a/b', '..', '.hidden', 'a\\b', 'a\0b', 'C:x', ''])(
    'saves nothing under the name %j',
    async (name) => {
      const { port, key, work } = await served();
      const { status } = await ask(port, '/api/save', json(key, { name }));
      expect(status).toBe(422);
      expect(readdirSync(work.folder).sort()).toEqual(['park.png', 'scene.yaml']);
    },
  );

  it('replaces no file of another name', async () => {
    const { port, key, work } = await served();
    work.write('other.yaml', 'mine');
    const { status, text } = await ask(port, '/api/save', json(key, { name: 'other' }));
    expect([status, text]).toEqual([
      500,
      expect.stringContaining('the one that is there was kept'),
    ]);
    expect(work.read('other.yaml')).toBe('mine');
  });

  it('lets a link be a link', async () => {
    const work = await workFolder();
    writeFileSync(work.file('real.yaml'), SCENE);
    symlinkSync(work.file('real.yaml'), work.file('link.yaml'));
    const session = await openSession(work.file('link.yaml'));
    onTestFinished(() => session.close());
    await session.write(SCENE.replace('dawn', 'noon'));
    await session.save();
    expect(work.read('real.yaml')).toContain('noon');
    expect(
      readdirSync(work.folder, { withFileTypes: true })
        .find(({ name }) => name === 'link.yaml')
        ?.isSymbolicLink(),
    ).toBe(true);
  });

  it('opens no master outside the folders of the scene and its master', async () => {
    const [{ port, key }, other] = [await served(), await workFolder()];
    const text = SCENE.replace('park.png', other.file('park.png'));
    const answer = await ask(port, '/api/text', json(key, { text }));
    expect([answer.status, answer.text]).toEqual([
      422,
      expect.stringContaining('no files outside'),
    ]);
    for (const place of [
      ['master'],
      ['outputs', 0, 'file'],
      ['__proto__', 'x'],
      ['keyframes', 'constructor'],
    ]) {
      const edit = {
        revision: 1,
        label: 'x',
        changes: [{ kind: 'set', place, value: '/etc/hostname' }],
      };
      expect((await ask(port, '/api/edit', json(key, edit))).status, String(place)).toBe(400);
    }
  });

  it('takes requests of a sensible size only', async () => {
    const { port, key } = await served();
    const large = json(key, { text: 'x'.repeat(5 << 20) });
    const answer = await ask(port, '/api/text', large).catch((error: Error) => error);
    if (!(answer instanceof Error)) expect(answer.status).toBe(413);
    else expect(answer.message).toMatch(/ECONNRESET|EPIPE/u);
    // Just over what a scene may have, though well within what JSON may need for it.
    const { status } = await ask(port, '/api/text', json(key, { text: 'x'.repeat((1 << 20) + 1) }));
    expect(status).toBe(413);
    const label = 'x'.repeat(101);
    const edit = { revision: 1, label, changes: [{ kind: 'remove', place: ['keyframes', 0] }] };
    expect((await ask(port, '/api/edit', json(key, edit))).status).toBe(400);
  });

  it('takes JSON by POST, and nothing that a plain form can send', async () => {
    const { port, key, work } = await served();
    const headers = { [KEY_HEADER]: key, 'content-type': 'text/plain' };
    const form = { method: 'POST', headers, body: '{"text":"x"}' };
    expect((await ask(port, '/api/text', form)).status).toBe(415);
    expect((await ask(port, '/api/text', { headers })).status).toBe(405);
    expect((await ask(port, '/', { method: 'DELETE' })).status).toBe(405);
    expect((await ask(port, '/api/none', json(key, {}))).status).toBe(404);
    const broken = { ...json(key, {}), body: '{' };
    expect((await ask(port, '/api/save', broken)).status).toBe(400);
    expect(work.read('scene.yaml')).toBe(SCENE);
  });

  it.each([
    ['id=1&level=99&x=0&y=0&width=1&height=1', 400],
    ['id=1&level=0&x=0&y=0&width=9999&height=9999', 400],
    ['id=1&level=0&x=0&y=0&width=-1&height=1', 400],
    ['id=1&level=0&x=1e3&y=0&width=1&height=1', 400],
    ['id=77&level=0&x=0&y=0&width=1&height=1', 410],
    ['id=1&level=0&x=-2&y=-2&width=516&height=260', 200],
  ])('gives out texels of the master alone: %s', async (query, wanted) => {
    const { port, key } = await served();
    const headers = { [KEY_HEADER]: key };
    const get = () => ask(port, `/api/texels?${query}`, { headers });
    let answer = await get();
    // The master is read in the background.
    for (let tries = 0; answer.status === 410 && wanted !== 410 && tries < 200; tries++) {
      await new Promise((done) => setTimeout(done, 50));
      answer = await get();
    }
    expect(answer.status).toBe(wanted);
  });
});
