import { describe, expect, it } from 'vitest';
import { parseBackground } from '../../src/scene/background.js';
import { parseEase } from '../../src/scene/ease.js';
import { parseShape, shapes } from '../../src/scene/shapes.js';
import { parseFps, parseMoment, parseSeconds } from '../../src/scene/time.js';
import { guess } from '../../src/scene/words.js';

describe('times', () => {
  it.each([
    [0, 0],
    [1.5, 1.5],
    ['1.5', 1.5],
    ['1.5s', 1.5],
    ['.5 s', 0.5],
    ['00:01.500', 1.5],
    ['1:30', 90],
    ['90:00', 5400],
    ['01:02:03.5', 3723.5],
  ])('%j is %d s', (text, seconds) => {
    expect(parseSeconds(text)).toBe(seconds);
  });

  it.each([
    -1,
    Number.NaN,
    Number.POSITIVE_INFINITY,
    '',
    's',
    '1m',
    '1:60',
    '1:60:00',
    '1,5',
    '1e3',
    '-1',
    '0x10',
    ':30',
  ])('%j is none', (text) => {
    expect(parseSeconds(text)).toBeUndefined();
  });

  it('may be a share of the duration', () => {
    expect(parseMoment('50%')).toEqual({ share: 0.5 });
    expect(parseMoment('12.5 %')).toEqual({ share: 0.125 });
    expect(parseMoment('%')).toBeUndefined();
    expect(parseMoment('-5%')).toBeUndefined();
  });
});

describe('frame rates', () => {
  it.each([
    [25, 25],
    ['25', 25],
    ['30000/1001', 30000 / 1001],
    [29.97, 30000 / 1001],
    ['29.97', 30000 / 1001],
    [23.976, 24000 / 1001],
    [59.94, 60000 / 1001],
    [12.5, 12.5],
    [1, 1],
    [240, 240],
  ])('%j', (text, fps) => {
    expect(parseFps(text)).toBe(fps);
  });

  it.each([0, 0.5, 241, -30, Number.NaN, '30/0', '0/1', 'fast', '30fps'])('not %j', (text) => {
    expect(parseFps(text)).toBeUndefined();
  });
});

describe('shapes', () => {
  it('have even sides that encoders take', () => {
    for (const { name, width, height } of shapes) {
      expect(parseShape(name)).toEqual({ name, width, height });
      expect(parseShape(`${width}x${height}`)).toEqual({
        name: `${width}x${height}`,
        width,
        height,
      });
    }
  });

  it('may be any even size', () => {
    expect(parseShape('16x8192')).toEqual({ name: '16x8192', width: 16, height: 8192 });
    expect(parseShape(' 640 X 360 ')).toEqual({ name: '640x360', width: 640, height: 360 });
    expect(parseShape('1440×1080')).toMatchObject({ name: '1440x1080' });
  });

  it.each([
    ['641x360', 'takes even sides, found 641x360; 642x360 would do'],
    ['14x360', 'takes sides of 16 to 8192 pixels, found 14x360'],
    ['9000x360', 'takes sides of 16 to 8192 pixels, found 9000x360'],
    [
      'Square',
      "takes vertical, portrait, square, landscape, uhd, sphere, sphere-5.7k, sphere-8k or a size such as 1080x1920, found 'Square'. Did you mean 'square'?",
    ],
    [
      '',
      'takes vertical, portrait, square, landscape, uhd, sphere, sphere-5.7k, sphere-8k or a size such as 1080x1920, found an empty text',
    ],
  ])('not %j', (text, problem) => {
    expect(parseShape(text)).toEqual({ problem });
  });
});

describe('backgrounds', () => {
  it.each([
    ['black', [0, 0, 0, 255]],
    ['White', [255, 255, 255, 255]],
    ['transparent', [0, 0, 0, 0]],
    ['#1af', [17, 170, 255, 255]],
    ['#1AF8', [17, 170, 255, 136]],
    ['#102840', [16, 40, 64, 255]],
    ['#10284080', [16, 40, 64, 128]],
  ])('%s', (text, colour) => {
    expect(parseBackground(text)).toEqual({ kind: 'colour', colour });
  });

  it('may be the scene itself, blurred', () => {
    expect(parseBackground('blur')).toEqual({ kind: 'blur' });
  });

  it.each(['', '#', '#12', '#12345', '#1234567', '#12345g', 'constructor', '102840'])(
    'not %j',
    (text) => {
      expect(parseBackground(text)).toBeUndefined();
    },
  );
});

describe('easings', () => {
  it('may be any cubic Bezier that runs forward in time', () => {
    const points = [0.7, -0.5, 1, 1.25];
    expect(parseEase('cubic-bezier(.7, -0.5,1 , 1.25)')).toEqual({ kind: 'bezier', points });
    expect(parseEase('linear')).toEqual({ kind: 'linear' });
    expect(parseEase('hold')).toEqual({ kind: 'hold' });
  });

  it.each([
    '',
    'toString',
    'cubic-bezier()',
    'cubic-bezier(0,0,1)',
    'cubic-bezier(0,0,1,1,1)',
    'cubic-bezier(-0.1,0,1,1)',
    'cubic-bezier(0,0,1.1,1)',
    'cubic-bezier(0,11,1,1)',
    'cubic-bezier(0,x,1,1)',
    'cubic-bezier(0,,1,1)',
  ])('not %j', (text) => {
    expect(parseEase(text)).toBeUndefined();
  });
});

describe('a slip of the pen', () => {
  const options = ['rectilinear', 'stereographic', 'mirror-ball', 'fov', 'at'];
  it.each([
    ['stereografic', 'stereographic'],
    ['Rectilinear', 'rectilinear'],
    ['mirror ball', 'mirror-ball'],
    ['mirror_ball', 'mirror-ball'],
    ['stereo', 'stereographic'],
    ['fovv', 'fov'],
    ['zoom', 'fov'],
    ['time', 'at'],
    ['origami', undefined],
    ['', undefined],
    ['x'.repeat(1000), undefined],
  ])('%j', (word, meant) => {
    expect(guess(word, options)).toBe(meant);
  });
});
