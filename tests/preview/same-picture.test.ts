import { execFileSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { drawPictures } from '../../src/flow/pictures.js';
import { loadScene } from '../../src/scene/load.js';
import { orbreel } from '../cli/support.js';
import { photo } from '../support/photos.js';
import { psnr } from '../support/reference.js';
import { drawn, open, pixelsOf, seek, serve, useBrowser, workFolder } from './support.js';

const browser = useBrowser();

const HEAD = 'duration: 2\nfps: 10\noutputs: [240x136]\n';

/** A planet that opens; balls and blends over a blurred background, sharpened; close-ups, blurred by motion. */
const SCENES: Readonly<Record<string, string>> = {
  opening: `master: park.png
${HEAD}keyframes:
  - { at: 0, yaw: -40, pitch: -90, fov: 280, projection: stereographic }
  - { at: 2, yaw: 30, pitch: 0, fov: 80, projection: rectilinear }
`,
  balls: `master: park.png
${HEAD}background: blur
sharpen: 0.3
keyframes:
  - { at: 0, yaw: 0, pitch: 20, fov: 360, projection: mirror-ball }
  - { at: 1, yaw: 90, fov: 200, projection: equidistant }
  - { at: 2, roll: 30, fov: 120, projection: panini }
`,
  near: `master: large.jpg
${HEAD}shutter: 180
keyframes:
  - { at: 0, yaw: 170, pitch: -20, fov: 12 }
  - { at: 2, yaw: 190, pitch: 70, fov: 70 }
`,
};

/** Frames at ten times, from the first to the last. */
const FRAMES = [0, 2, 4, 7, 9, 11, 13, 15, 17, 19];

/** As large as masters that come in steps: a small one first, then the whole, in several tiles. */
async function largeMaster(file: string): Promise<void> {
  const { width, height, data } = await photo('city');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .resize(6144, 3072, { kernel: 'cubic' })
    .jpeg({ quality: 95 })
    .toFile(file);
}

describe('the page’s picture', () => {
  it.each(Object.keys(SCENES))('is the still’s, at least 45 dB alike: %s', async (name) => {
    const work = await workFolder(SCENES[name]);
    if (name === 'near') await largeMaster(work.file('large.jpg'));
    const scene = await loadScene(work.file('scene.yaml'));
    const [output] = scene.outputs;
    const deliveries = [{ output: output!, file: work.file('none.png') }];
    const stills = new Map<number, Uint8Array>();
    const job = { scene, deliveries, quality: 'final' as const, overwrite: false };
    await drawPictures(job, { frames: FRAMES, format: 'rgba' }, ({ frame, pixels }) => {
      stills.set(frame, pixels.slice());
    });
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    // The whole master, not only the first look at it.
    await page.waitForFunction(
      () => !document.querySelector('.facts')?.textContent?.includes('read'),
    );
    const likeness: number[] = [];
    for (const frame of FRAMES) {
      await seek(page, frame);
      await drawn(page, frame / 10);
      const { width, height, rgba } = await pixelsOf(page);
      expect([width, height]).toEqual([240, 136]);
      likeness.push(psnr(rgba, stills.get(frame)!));
    }
    expect(Math.min(...likeness), likeness.join(' ')).toBeGreaterThan(45);
  });

  it('is the file’s that `orbreel still` writes', async () => {
    const work = await workFolder(SCENES.opening!);
    writeFileSync(work.file('scene.yaml'), SCENES.opening!);
    const { code } = await orbreel(work.folder, [
      'still',
      'scene.yaml',
      '--at',
      '1',
      '--out',
      's.png',
    ]);
    expect(code).toBe(0);
    const still = await sharp(work.file('s.png')).ensureAlpha().raw().toBuffer();
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    await seek(page, 10);
    await drawn(page, 1);
    expect(psnr((await pixelsOf(page)).rgba, new Uint8Array(still))).toBeGreaterThan(45);
  });

  it('is the video’s frame at the playhead, where the master is a video', async () => {
    const work = await workFolder(`master: moving.mp4
${HEAD.replace('fps: 10', 'fps: 5')}keyframes:
  - { at: 0, fov: 100 }
  - { at: 2, yaw: 60 }
`);
    const size = 'testsrc2=size=512x256:rate=5:duration=2';
    execFileSync(process.env.FFMPEG_BIN || 'ffmpeg', [
      ...['-v', 'error', '-f', 'lavfi', '-i', size, '-pix_fmt', 'yuv444p'],
      work.file('moving.mp4'),
    ]);
    const scene = await loadScene(work.file('scene.yaml'));
    const deliveries = [{ output: scene.outputs[0]!, file: work.file('none.png') }];
    const job = { scene, deliveries, quality: 'final' as const, overwrite: false };
    const frames = [0, 4, 9];
    const stills: Uint8Array[] = [];
    await drawPictures(job, { frames, format: 'rgba' }, ({ pixels }) => {
      stills.push(pixels.slice());
    });
    const { address } = await serve(work);
    const page = await open(await browser.page(address));
    for (const [index, frame] of frames.entries()) {
      await seek(page, frame);
      // Frames differ enough to be told apart; the two ways of turning them into RGB do not.
      await expect
        .poll(async () => psnr((await pixelsOf(page)).rgba, stills[index]!), { timeout: 30_000 })
        .toBeGreaterThan(36);
      for (const [other, still] of stills.entries()) {
        if (other !== index) expect(psnr((await pixelsOf(page)).rgba, still)).toBeLessThan(22);
      }
    }
  });
});
