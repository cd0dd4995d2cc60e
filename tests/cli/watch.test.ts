import { mkdir, rename, stat, writeFile } from 'node:fs/promises';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Running, SHORT_SCENE, startOrbreel, workFolder } from './support.js';

describe('orbreel still --watch', () => {
  const folder = workFolder();
  let running: Running | undefined;
  beforeEach(() => folder.write('short.yaml', SHORT_SCENE));
  afterEach(async () => {
    running?.stop('SIGKILL');
    await running?.ended;
    running = undefined;
  });

  const start = (...words: string[]): Running => {
    running = startOrbreel(folder.path, ['still', 'short.yaml', '--at', '0', '--watch', ...words]);
    return running;
  };
  const pixels = (name: string) => sharp(folder.file(name)).raw().toBuffer();
  /** As some editors save: the new text gets its name when it is whole. */
  const replace = async (name: string, content: string | Buffer) => {
    await writeFile(folder.file('new~'), content);
    await rename(folder.file('new~'), folder.file(name));
  };
  const plain = (background: string, width = 256): Promise<Buffer> =>
    sharp({ create: { width, height: width / 2, channels: 3, background } })
      .png()
      .toBuffer();

  const DRAWN = /^a\.png {2}64x32 {2}\d+\.\d\d s$/mu;

  it('draws anew when the scene is saved, sits out mistakes, and ends with Ctrl-C', async () => {
    const { next, stop, ended } = start('--out', 'a.png');
    await next(DRAWN);
    const first = await pixels('a.png');

    await folder.write('short.yaml', SHORT_SCENE.replace('fov: 300', 'fov: 200'));
    await next(DRAWN);
    const second = await pixels('a.png');
    expect(second).not.toEqual(first);

    const before = await stat(folder.file('a.png'));
    await folder.write('short.yaml', SHORT_SCENE.replace('fov: 300', 'fov: 900'));
    await next(/^short\.yaml:6:\d+: keyframes\[0\]\.fov: .*\nNothing was drawn; .*$/mu);
    const after = await stat(folder.file('a.png'));
    expect([after.ino, after.mtimeMs]).toEqual([before.ino, before.mtimeMs]);

    await replace('short.yaml', SHORT_SCENE);
    await next(DRAWN);
    expect(await pixels('a.png')).toEqual(first);

    stop('SIGINT');
    const { code, stderr } = await ended;
    expect(code).toBe(0);
    expect(stderr).not.toContain('Interrupted');
    expect(await folder.names()).toEqual(['a.png', 'master.png', 'short.yaml']);
  });

  it('follows the master, other scenes and pictures that the scene is made of', async () => {
    await folder.write('nested.yaml', SHORT_SCENE);
    await writeFile(folder.file('mark.png'), await plain('#ff0000', 64));
    const titled = (scene: string) =>
      `${scene}overlays: [{ image: mark.png, place: centre, size: 1 }]\n`;
    await folder.write('short.yaml', 'outputs: [64x32]\nfps: 10\nshots:\n  - scene: nested.yaml\n');
    const { next } = start('--out', 'a.png');
    await next(DRAWN);
    const centre = async () => [
      ...(await pixels('a.png')).subarray(3 * (16 * 64 + 32)).subarray(0, 3),
    ];

    await replace('master.png', await plain('#00ff00'));
    await next(DRAWN);
    expect(await centre()).toEqual([0, 255, 0]);

    await folder.write('nested.yaml', titled(SHORT_SCENE));
    await next(DRAWN);
    expect(await centre()).toEqual([255, 0, 0]);

    await replace('mark.png', await plain('#0000ff', 64));
    await next(DRAWN);
    expect(await centre()).toEqual([0, 0, 255]);
  });

  it('begins with what is not there yet, and draws several shapes with guides', async () => {
    await folder.write('short.yaml', SHORT_SCENE.replace('master.png', 'later/valley.png'));
    const shapes = ['--shape', '64x32', '--shape', '32x48', '--guides', '--quality', 'draft'];
    const { next } = start(...shapes);
    await next(/^short\.yaml:1:\d+: master: there is no file later\/valley\.png;.*$/mu);
    await mkdir(folder.file('later'));
    await writeFile(folder.file('later/valley.png'), await plain('#00ff00'));
    await next(/^short-64x32-0s\.png {2}64x32, short-32x48-0s\.png {2}32x48 {2}\d+\.\d\d s$/mu);
    expect((await sharp(folder.file('short-32x48-0s.png')).metadata()).height).toBe(48);
  });

  it('replaces no file of others, and nothing that the still is made of', async () => {
    await folder.write('a.png', 'mine');
    expect(await start('--out', 'a.png').ended).toMatchObject({
      code: 2,
      stdout: '',
      stderr: expect.stringContaining('a.png: already exists: choose another name'),
    });
    expect(await folder.read('a.png')).toBe('mine');
    expect(await start('--out', 'master.png', '--overwrite', '--quiet').ended).toEqual({
      code: 2,
      stdout: '',
      stderr: 'master.png: is what the still is made of: choose another name with --out.\n',
    });

    // A name that comes up later is told of, and what lies there stays.
    await folder.write('short-48x32-0s.png', 'mine too');
    const { next } = start();
    await next(/^short-64x32-0s\.png .* s$/mu);
    await folder.write('short.yaml', SHORT_SCENE.replace('64x32', '48x32'));
    await next(/^short-48x32-0s\.png: already exists: .*$/mu);
    expect(await folder.read('short-48x32-0s.png')).toBe('mine too');
  });

  it('ends at once where there is no scene', async () => {
    const words = ['still', 'none.yaml', '--at', '0', '--watch', '--quiet'];
    expect(await folder.run(words)).toEqual({
      code: 2,
      stdout: '',
      stderr: 'none.yaml: there is no such file\n',
    });
  });
});
