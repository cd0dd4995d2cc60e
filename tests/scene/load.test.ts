import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { loadScene } from '../../src/scene/load.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-scene-'));
afterAll(() => rmSync(folder, { recursive: true }));

const put = (name: string, content: string | Uint8Array): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

const A_SCENE = "a scene is a text file; 'orbreel new NAME --master FILE' writes one to start from";
const KEYFRAMES = 'duration: 8\nkeyframes:\n  - at: 0\n';

const says = async (path: string, message: string) => {
  await expect(loadScene(path)).rejects.toMatchObject({ name: 'InputError', message });
};

describe('loading a scene', () => {
  it('finds the master from the folder of the scene', async () => {
    mkdirSync(join(folder, 'masters'));
    put('masters/valley.jpg', 'a picture');
    const path = put('good.yaml', `master: masters/valley.jpg\n${KEYFRAMES}`);
    expect(await loadScene(path)).toMatchObject({
      name: 'good',
      shots: [{ master: join(folder, 'masters', 'valley.jpg') }],
    });
  });

  it('takes a byte order mark, and JSON', async () => {
    put('v.jpg', 'a picture');
    const bom = put('bom.yaml', `\ufeffmaster: v.jpg\n${KEYFRAMES}`);
    expect((await loadScene(bom)).duration).toBe(8);
    const json = put(
      'a.json',
      '{"$schema": "s", "master": "v.jpg", "duration": 8, "keyframes": [{"at": 0}]}',
    );
    expect((await loadScene(json)).name).toBe('a');
  });

  it('says where the master is missing, with all else that is wrong', async () => {
    const path = put('lost.yaml', `fps: 0\nmaster: gone.jpg\n${KEYFRAMES}`);
    await says(
      path,
      [
        `${path}:1:6: fps: takes 1 to 240 frames per second, or a fraction such as '30000/1001', found 0`,
        `${path}:2:9: master: there is no file gone.jpg; the path counts from the scene file's folder`,
      ].join('\n'),
    );
  });

  it('says when the master is a folder', async () => {
    const path = put('folder.yaml', `master: .\n${KEYFRAMES}`);
    await says(path, `${path}:1:9: master: takes a picture, found the folder .`);
  });

  it('says when there is no scene', async () => {
    const path = join(folder, 'nowhere', 'scene.yaml');
    await says(path, `${path}: there is no such file`);
    await says(folder, `${folder}: is a folder; ${A_SCENE}`);
  });

  it.each([
    ['a JPEG picture', [0xff, 0xd8, 0xff, 0xe0, 0, 0x10]],
    ['a PNG picture', [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]],
    ['a TIFF picture', [0x49, 0x49, 0x2a, 0]],
    ['a WebP picture', [...Buffer.from('RIFF\x10\0\0\0WEBPVP8 ', 'latin1')]],
    ['a video', [...Buffer.from('\0\0\0\x20ftypisom', 'latin1')]],
    ['an archive', [0x50, 0x4b, 3, 4]],
  ])('knows %s', async (kind, bytes) => {
    const path = put('picture.yaml', Uint8Array.from(bytes));
    await says(path, `${path}: is ${kind}; ${A_SCENE}`);
  });

  it('knows what is no text in UTF-8', async () => {
    const binary = put('binary.yaml', 'master\0: a');
    await says(binary, `${binary}: is no text; ${A_SCENE}`);
    const wide = put('wide.yaml', Buffer.from('\ufeffmaster: a', 'utf16le'));
    await says(wide, `${wide}: is stored as UTF-16; store it as UTF-8`);
    const latin = put('latin.yaml', Buffer.from('master: \xe4.jpg', 'latin1'));
    await says(latin, `${latin}: is not stored as UTF-8; store it as UTF-8`);
    const large = put('large.yaml', 'x'.repeat(2 ** 20 + 1));
    await says(large, `${large}: is larger than 1 MiB; ${A_SCENE}`);
  });
});
