import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { readProjections } from '../../../src/encode/spherical/matroska.js';
import { readSpherical } from '../../../src/encode/spherical.js';
import { describeMark, markMaster } from '../../../src/master/mark.js';
import { makeFolder, run } from './pictures.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const folder = makeFolder('mark-video');
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const movie = (name: string, size: string, ...args: string[]) =>
  run(
    'ffmpeg',
    '-y',
    '-f',
    'lavfi',
    '-i',
    `testsrc2=size=${size}:rate=10:duration=1`,
    '-pix_fmt',
    'yuv420p',
    ...args,
    at(name),
  );

beforeAll(() => {
  movie('sphere.mp4', '256x128', '-movflags', '+faststart');
  movie('flat.mp4', '320x180');
  movie('half.mp4', '256x64');
  movie('eyes.mp4', '256x256');
  movie('sphere.webm', '256x128', '-c:v', 'libvpx');
});

describe('marking a video', () => {
  it('writes both boxes, turns a heading into a yaw, and changes nothing the second time', async () => {
    const output = at('marked.mp4');
    const result = await markMaster({ input: at('sphere.mp4'), output, heading: 270, pitch: 2.5 });
    expect(result).toMatchObject({ kind: 'video', changed: true });
    // A heading of 270 is 90 to the left of north; V2's yaw counts to the left.
    expect((await readSpherical(output))[0]?.v2).toMatchObject({
      yaw: 90,
      pitch: 2.5,
      source: 'Orbreel',
    });
    expect(describeMark(result)).toMatch(/V2 projection: equirectangular \(was missing\)/);
    const before = readFileSync(output);
    const again = await markMaster({ input: output, overwrite: true, heading: 270, pitch: 2.5 });
    expect(again).toMatchObject({ changed: false, changes: [] });
    expect(readFileSync(output).equals(before)).toBe(true);
  });

  it('tells of one that its display matrix turns on its side', async () => {
    const file = at('turned.mp4');
    movie('turned.mp4', '256x128');
    for (const [degrees, notes] of [
      [90, 1],
      [270, 1],
      [180, 0],
      [0, 0],
    ]) {
      run('exiftool', '-q', '-overwrite_original', `-Rotation=${degrees}`, file);
      const result = await markMaster({ input: file, overwrite: true });
      expect(result.notes, `${degrees}`).toHaveLength(notes!);
      if (notes === 0) continue;
      expect(describeMark(result)).toMatch(
        /\n {2}note: It is 256x128 that its display matrix turns on its side, to 128x256; .*take the turn out: ffmpeg .*, and mark that\.$/u,
      );
    }
  });

  it('removes stale claims from a flat one', async () => {
    const file = at('stale.mp4');
    await markMaster({ input: at('sphere.mp4'), output: file });
    const result = await markMaster({ input: file, overwrite: true, flat: true });
    expect(result.changes).toContainEqual({ field: 'V1 Spherical', from: 'true', to: undefined });
    expect(await readSpherical(file)).toEqual([{ width: 256, height: 128, codec: 'avc1' }]);
    expect(readFileSync(file).equals(readFileSync(at('sphere.mp4')))).toBe(true);
  });

  it('writes the Projection element into WebM, and takes it away', async () => {
    const output = at('marked.webm');
    const result = await markMaster({ input: at('sphere.webm'), output, heading: 90 });
    // A heading of 90 is to the right; V2, in whose terms we tell it, counts to the left.
    expect(describeMark(result)).toMatch(/Projection yaw: -90 \(was missing\)/);
    expect(describeMark(result)).not.toContain('source');
    expect((await readProjections(output))[0]?.v2?.yaw).toBe(-90);
    expect(await markMaster({ input: output, overwrite: true, heading: 90 })).toMatchObject({
      changed: false,
      changes: [],
    });
    await markMaster({ input: output, overwrite: true, flat: true });
    expect((await readProjections(output))[0]?.v2).toBeUndefined();
  });

  it('writes where a partial sphere lies', async () => {
    const place = { topLatitude: 45 };
    await markMaster({ input: at('half.mp4'), output: at('half-marked.mp4'), place });
    const [track] = await readSpherical(at('half-marked.mp4'));
    expect(track?.v2?.bounds).toEqual({ top: 0.25, bottom: 0.25, left: 0, right: 0 });
  });

  it('takes two eyes one above the other for 2:1 each', async () => {
    await expect(markMaster({ input: at('eyes.mp4'), output: at('x.mp4') })).rejects.toThrow(
      /found 256x256 .*Choose:[\s\S]*two eyes of one sphere, one above the other:\n {4}orbreel master mark \S+eyes\.mp4 --stereo top-bottom --overwrite\n/,
    );
    await markMaster({
      input: at('eyes.mp4'),
      output: at('eyes-marked.mp4'),
      stereo: 'top-bottom',
    });
    const [track] = await readSpherical(at('eyes-marked.mp4'));
    expect(track?.v2?.stereo).toBe('top-bottom');
    expect(track?.v1?.fields.StereoMode).toBe('top-bottom');
  });

  it('refuses what is no sphere', async () => {
    await expect(markMaster({ input: at('flat.mp4'), overwrite: true })).rejects.toThrow(
      /twice as wide as high, found 320x180/,
    );
    writeFileSync(at('cut.mp4'), readFileSync(at('sphere.mp4')).subarray(0, 9000));
    await expect(markMaster({ input: at('cut.mp4'), overwrite: true })).rejects.toThrow(
      /cut\.mp4: the movie is cut off/,
    );
  });
});
