import { describe, expect, it } from 'vitest';
import { largestMaster } from '../../src/cli/doctor/drawing.js';
import { formatsOf, nodeCheck } from '../../src/cli/doctor/tools.js';
import { workFolder } from './support.js';

describe('orbreel doctor', () => {
  const folder = workFolder();

  it('says that nothing is missing where nothing is', async () => {
    const { code, stdout, stderr } = await folder.run(['doctor']);
    expect(stderr).toBe('');
    expect(stdout).toMatch(/^orbreel \d+\.\d+\.\d+\nok {7}Node\.js +\d+/);
    expect(stdout).toMatch(/\nok {7}largest master +\d+x\d+ \(\d+ megapixels\)\n/);
    expect(stdout).toMatch(/\nok {9}\.mp4 +H\.264 by libx264\n/);
    expect(stdout).toMatch(/\nNothing that rendering needs is missing\.\n$/);
    expect(code).toBe(0);
  });

  it('prints JSON', async () => {
    const { code, stdout } = await folder.run(['doctor', '--json']);
    const report = JSON.parse(stdout);
    expect(report).toMatchObject({ ok: true, node: process.versions.node, missing: [] });
    expect(report.drawing.maxTextureSize).toBeGreaterThanOrEqual(2048);
    expect(report.ffmpeg.formats).toContainEqual({
      extension: '.mp4',
      title: 'H.264',
      encoder: 'libx264',
      available: true,
    });
    expect(code).toBe(0);
  });

  it('names what is missing and how to install it, and fails', async () => {
    // No X server to start, no display, no graphics card asked; and a wrong ffmpeg.
    const env = { PATH: folder.path, DISPLAY: '', ORBREEL_GL: 'display', FFMPEG_BIN: '/no/ffmpeg' };
    const { code, stdout, stderr } = await folder.run(['doctor'], { env });
    expect([code, stderr]).toEqual([1, '']);
    expect(stdout).toMatch(
      /\nmissing {2}drawing +Drawing without a display needs an X server, and Xvfb was not found: install it \(Debian, Ubuntu: `apt-get install xvfb.*\)\.\n/,
    );
    expect(stdout).toMatch(
      /\nmissing {2}ffmpeg +FFMPEG_BIN: \/no\/ffmpeg: no working ffmpeg: there is no such program\.\n/,
    );
    expect(stdout).toMatch(/\nSomething is missing: see above\.\n$/);
  });
});

describe('what the doctor reckons', () => {
  it('the largest master by the textures of a device', () => {
    // One page of 1024 less its gutters and the smaller levels beside the first.
    const one = largestMaster({ maxTextureSize: 1024, maxTextureUnits: 2 });
    expect(one.width).toBe(2 * one.height);
    expect(one.width).toBeGreaterThan(640);
    expect(one.width).toBeLessThan(1024);
    const many = largestMaster({ maxTextureSize: 16384, maxTextureUnits: 16 });
    expect(many.width).toBeGreaterThan(36000);
  });

  it('an old Node.js is missing, a new one is not', () => {
    expect(nodeCheck('20.18.3')).toEqual({
      what: 'Node.js',
      state: 'missing',
      found: '20.18.3',
      remedy: 'install 20.19 or newer',
    });
    expect(nodeCheck('20.19.0').state).toBe('ok');
    expect(nodeCheck('22.0.0').state).toBe('ok');
    expect(nodeCheck('18.20.0').state).toBe('missing');
  });

  it('a kind of clip needs its encoder and its muxer', () => {
    const able = formatsOf({
      encoders: new Set(['libx264', 'gif']),
      muxers: new Set(['mp4', 'webm']),
    });
    expect(able.filter(({ available }) => available).map(({ extension }) => extension)).toEqual([
      '.mp4',
    ]);
  });
});
