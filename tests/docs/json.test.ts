import { writeFileSync } from 'node:fs';
import sharp from 'sharp';
import { beforeEach, describe, expect, it, vi } from 'vitest';
import {
  asPicture,
  badPictures,
  CAMERA,
  crop,
  HEIGHT,
  spherePixels,
  tag,
  WIDTH,
} from '../cli/master/support.js';
import { workFolder } from '../cli/support.js';
import { photo } from '../support/photos.js';
import { tiff } from '../support/tiff.js';
import { documentedFields, printedFields } from './json-fields.js';

vi.setConfig({ testTimeout: 240_000, hookTimeout: 60_000 });

describe('what orbreel master prints as JSON', () => {
  const folder = workFolder();
  const at = (name: string) => folder.file(name);
  const printed = async (...words: string[]) => {
    const { stdout, stderr } = await folder.run(['master', ...words, '--json']);
    expect(stdout, stderr).not.toBe('');
    return printedFields(JSON.parse(stdout)).map((path) => path.replace(/^\[\]\.?/u, ''));
  };

  /** Every printed field is documented, and every documented one is printed, but for what is told elsewhere. */
  function expectSame(command: string, paths: readonly string[], also: readonly string[] = []) {
    const documented = documentedFields(command);
    const known = [...documented.map(({ path }) => path), ...also];
    const isKnown = (path: string) =>
      known.includes(path) ||
      // An empty list shows nothing of what its entries hold.
      (path.endsWith('[]') && known.some((other) => other.startsWith(`${path}.`)));
    expect(paths.filter((path) => !isKnown(path))).toEqual([]);
    const own = documented.filter(({ borrowed }) => !borrowed).map(({ path }) => path);
    expect([...own, ...also].filter((path) => !paths.includes(path))).toEqual([]);
  }

  let dawn: Buffer;
  beforeEach(async () => {
    dawn = Buffer.from((await photo('dawn')).data);
    await asPicture(dawn).jpeg({ quality: 95 }).toFile(at('dawn.jpg'));
  });

  it('by inspect', async () => {
    await badPictures(at);
    const files = ['palette.png', 'animated.webp', 'dawn.jpg', 'none.jpg'];
    const camera = asPicture(await spherePixels())
      .withIccProfile('srgb')
      .jpeg();
    await camera.toFile(at('camera.jpg'));
    const more = ['-LensModel=Two eyes', '-FocalLength=8', '-Orientation#=3'];
    tag(at('camera.jpg'), ...CAMERA, ...more);
    const capped = Buffer.from(await spherePixels()).fill(0, 0, 40 * WIDTH * 3);
    await asPicture(capped).png().toFile(at('capped.png'));
    const { execFileSync } = await import('node:child_process');
    execFileSync('ffmpeg', ['-v', 'error', '-i', at('clip.mp4'), '-c', 'copy', at('side.mp4')]);
    tag(at('side.mp4'), '-Rotation=90');
    const size = { width: 128, height: 64 };
    const data = (channels: number) => new Uint8Array(size.width * size.height * channels).fill(99);
    writeFileSync(at('selection.tif'), tiff({ ...size, data: data(4), extra: [0] }));
    writeFileSync(at('float.tif'), tiff({ ...size, data: Float32Array.from(data(3)) }));
    files.push('camera.jpg', 'capped.png', 'side.mp4', 'selection.tif', 'float.tif');
    const problems = documentedFields('master').map(({ path }) => path);
    expectSame('master inspect', await printed('inspect', ...files), problems);
  });

  it('by complete', async () => {
    const part = Buffer.from(dawn.subarray(30 * WIDTH * 3)).fill(0, 190 * WIDTH * 3);
    await asPicture(part).jpeg({ quality: 95 }).toFile(at('part.jpg'));
    tag(at('part.jpg'), ...crop(HEIGHT - 30, 30));
    const words = ['--fill', 'colour', '--out', at('whole.jpg')];
    expectSame('master complete', await printed('complete', 'part.jpg', ...words));
  });

  it('by level', async () => {
    const north = ['--auto', '--north', '137', '--out', at('north.png')];
    const points = ['--point', '0,4', '--point', '90,-3', '--point', '-90,2'];
    expectSame('master level', [
      ...(await printed('level', 'dawn.jpg', ...north)),
      ...(await printed('level', 'dawn.jpg', ...points, '--out', at('points.png'))),
    ]);
  });

  it('by mark', async () => {
    await sharp(at('dawn.jpg')).toFile(at('placed.jpg'));
    tag(at('placed.jpg'), ...CAMERA, '-XMP-GPano:PoseHeadingDegrees=12');
    const words = ['--heading', '137', '--strip-place', '--out', at('marked.jpg')];
    expectSame('master mark', await printed('mark', 'placed.jpg', ...words));
  });

  it('by finish', async () => {
    const part = asPicture(dawn.subarray(30 * WIDTH * 3)).jpeg({ quality: 95 });
    await part.toFile(at('part.jpg'));
    tag(at('part.jpg'), ...CAMERA, ...crop(HEIGHT - 30, 30));
    expectSame('master finish', await printed('finish', 'part.jpg', '--out', at('done.jpg')));
  });

  it('where the input is wrong', async () => {
    for (const command of ['complete', 'level --yaw 3', 'mark', 'finish']) {
      const paths = await printed(...command.split(' '), 'none.jpg', '--out', at('out.jpg'));
      expectSame('master', paths);
    }
  });
});
