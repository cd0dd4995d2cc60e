import { describe, expect, it } from 'vitest';
import { h264Level, LEVELS } from '../../src/encode/level.js';
import { frameRate } from '../../src/encode/rate.js';

const level = (width: number, height: number, fps: number) =>
  h264Level(width, height, frameRate(fps))?.name;

describe('h264Level', () => {
  // ITU-T H.264 Table A-1, as in FFmpeg libavcodec/h264_levels.c: MaxMBPS, MaxFS.
  it.each([
    ['3.1', 108000, 3600],
    ['3.2', 216000, 5120],
    ['4.0', 245760, 8192],
    ['4.1', 245760, 8192],
    ['4.2', 522240, 8704],
    ['5.0', 589824, 22080],
    ['5.1', 983040, 36864],
    ['5.2', 2073600, 36864],
    ['6.0', 4177920, 139264],
    ['6.1', 8355840, 139264],
    ['6.2', 16711680, 139264],
  ])('has level %s with %i macroblocks a second, %i a frame', (name, perSecond, perFrame) => {
    expect(LEVELS.find((row) => row.name === name)).toMatchObject({
      macroblocksPerSecond: perSecond,
      macroblocksPerFrame: perFrame,
    });
  });

  // Computed from the same table: macroblocks are ceil(side / 16).
  it.each([
    [1080, 1920, 30, '4.0'],
    [1080, 1920, 60, '4.2'],
    [1080, 1350, 30, '4.0'],
    [1080, 1080, 30, '3.2'],
    [1920, 1080, 29.97, '4.0'],
    [3840, 1920, 30, '5.1'],
    [3840, 1920, 60, '5.2'],
    [4096, 2048, 30, '5.1'],
    [5760, 2880, 30, '6.0'],
    [5760, 2880, 60, '6.0'],
    [7680, 3840, 30, '6.0'],
    [7680, 3840, 60, '6.1'],
    [7680, 3840, 120, '6.2'],
    [480, 480, 30, '3.1'],
  ])('%ix%i at %d is level %s', (width, height, fps, name) => {
    expect(level(width, height, fps)).toBe(name);
  });

  it('counts the exact rate: 4096x2048 just above 30 frames per second needs the next level', () => {
    expect(level(4096, 2048, 30.001)).toBe('5.2');
  });

  // Table A-1's second limit, clause A.3.1: no side longer than sqrt(8 MaxFS) macroblocks.
  it('refuses a level whose frame would be too narrow: 3600 macroblocks in a row of 225 x 16', () => {
    expect(level(225 * 16, 16 * 16, 1)).toBe('4.0');
  });

  it('knows when there is none', () => {
    expect(level(16384, 16384, 30)).toBeUndefined();
  });

  // High profile may take 1.25 times the bits (Table A-2): 20 Mbit/s of level 4 become 25.
  it('gives the bits of High profile', () => {
    expect(LEVELS.find(({ name }) => name === '4.0')).toMatchObject({
      bitRate: 25000,
      bufferSize: 31250,
    });
    expect(LEVELS.find(({ name }) => name === '4.1')).toMatchObject({
      bitRate: 62500,
      bufferSize: 78125,
    });
  });
});
