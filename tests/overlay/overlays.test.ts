import { copyFileSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { InputError } from '../../src/errors.js';
import { openFont } from '../../src/lettering/fontFile.js';
import { houseFontFile } from '../../src/lettering/house.js';
import { opacityAt } from '../../src/overlay/opacity.js';
import { openOverlays } from '../../src/overlay/open.js';
import { cornerOf } from '../../src/overlay/place.js';
import { textRaster } from '../../src/overlay/text.js';
import type { Raster } from '../../src/overlay/types.js';
import type { Overlay } from '../../src/scene/types.js';

const folder = mkdtempSync(path.join(tmpdir(), 'orbreel-overlays-'));
const inFolder = (name: string) => path.join(folder, name);
const NO_MARGINS = { top: 0, bottom: 0, left: 0, right: 0 };

const LOOK = {
  text: 'Hill',
  font: 'Source Sans 3 SemiBold',
  fontFile: houseFontFile('semibold'),
  size: 100,
  colour: [255, 200, 100, 255],
  align: 'centre',
  widest: 2000,
  shadow: false,
} as const;

const COMMON = {
  from: 0,
  to: 2,
  fade: 0,
  place: 'centre',
  opacity: 1,
  path: 'overlays[0]',
} as const;

const textOverlay = (more: Partial<Extract<Overlay, { kind: 'text' }>> = {}): Overlay => ({
  ...{ kind: 'text', text: 'Hill', size: 0.1, colour: [255, 255, 255, 255], shadow: false },
  ...COMMON,
  ...more,
});

/** Rows and columns that hold anything. */
function inked({ rgba, width, height }: Raster) {
  const alpha = (x: number, y: number) => rgba[4 * (y * width + x) + 3]!;
  const rows = Array.from({ length: height }, (_, y) => y).filter((y) =>
    Array.from({ length: width }, (_, x) => alpha(x, y)).some((value) => value > 127),
  );
  return { top: rows[0]!, bottom: rows.at(-1)! };
}

beforeAll(async () => {
  await sharp({ create: { width: 40, height: 20, channels: 4, background: '#ff000080' } })
    .png()
    .toFile(inFolder('mark.png'));
  writeFileSync(
    inFolder('mark.svg'),
    '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><circle cx="5" cy="5" r="5" fill="#00ff00"/></svg>',
  );
  writeFileSync(inFolder('broken.png'), 'no picture');
  writeFileSync(inFolder('broken.ttf'), 'no font at all');
  copyFileSync(houseFontFile('regular'), inFolder('own.ttf'));
});
afterAll(() => rmSync(folder, { recursive: true }));

describe('texts', () => {
  it('are set in the font of the file, at the size asked for', async () => {
    const { top, bottom } = inked(await textRaster(LOOK));
    // Source Sans 3's ascenders and capitals: `l` is 712 of 1000 units high, read from the font's outlines.
    expect(bottom - top + 1).toBeGreaterThan(69);
    expect(bottom - top + 1).toBeLessThan(74);
    const double = inked(await textRaster({ ...LOOK, size: 200 }));
    expect(double.bottom - double.top + 1).toBeCloseTo(2 * (bottom - top + 1), -0.7);
  });

  it('differ with the font', async () => {
    const own = await openFont(inFolder('own.ttf'));
    expect(own.name).toBe('Source Sans 3 Regular');
    const [semibold, regular] = await Promise.all([
      textRaster(LOOK),
      textRaster({ ...LOOK, font: own.name, fontFile: own.file }),
    ]);
    expect(regular.width).toBeLessThan(semibold.width);
  });

  it('are shaped: f and i meet in less room than they take apart', async () => {
    const width = async (text: string) => (await textRaster({ ...LOOK, text })).width;
    // A kerned pair is narrower than its letters, each for itself.
    expect(await width('AVAVAVAV')).toBeLessThan(
      0.97 * ((await width('AAAA')) + (await width('VVVV'))),
    );
  });

  it('have the colour asked for, and break into lines where they are too wide', async () => {
    const { rgba } = await textRaster(LOOK);
    const solid = [...rgba.keys()].find((at) => at % 4 === 3 && rgba[at] === 255)!;
    expect([...rgba.subarray(solid - 3, solid + 1)]).toEqual([255, 200, 100, 255]);
    const words = { ...LOOK, text: 'hills and lakes and hills and lakes' };
    const [one, several] = await Promise.all([
      textRaster(words),
      textRaster({ ...words, widest: 500 }),
    ]);
    expect(several.width).toBeLessThanOrEqual(500);
    expect(several.height).toBeGreaterThan(2.5 * one.height);
  });

  it('are words, not markup', async () => {
    const { width } = await textRaster({ ...LOOK, text: '<b>a</b> & b' });
    const plain = await textRaster({ ...LOOK, text: 'a & b' });
    expect(width).toBeGreaterThan(1.5 * plain.width);
  });

  it('have a soft shadow that leaves the letters alone', async () => {
    const raster = await textRaster({ ...LOOK, shadow: true });
    const { rgba, width } = raster;
    expect(rgba[3]).toBe(0);
    const alphas = new Set(rgba.filter((_, at) => at % 4 === 3));
    expect(alphas.has(255)).toBe(true);
    expect(alphas.size).toBeGreaterThan(60);
    const plain = await textRaster(LOOK);
    expect(width).toBeGreaterThan(plain.width + 20);
  });
});

describe('images', () => {
  it('are as wide as asked for, with their transparency and colour', async () => {
    const overlay: Overlay = { ...COMMON, kind: 'image', image: inFolder('mark.png'), size: 0.5 };
    const [opened] = await openOverlays([overlay], 'a.yaml');
    const raster = await opened!.rasterFor({ width: 400, height: 200 }, NO_MARGINS);
    expect([raster.width, raster.height]).toEqual([100, 50]);
    expect([raster.left, raster.top]).toEqual([150, 75]);
    const middle = 4 * (25 * 100 + 50);
    expect([...raster.rgba.subarray(middle, middle + 4)]).toEqual([255, 0, 0, 128]);
  });

  it('as drawings are drawn at their size, not enlarged', async () => {
    const overlay: Overlay = { ...COMMON, kind: 'image', image: inFolder('mark.svg'), size: 1 };
    const [opened] = await openOverlays([overlay], 'a.yaml');
    const { rgba, width } = await opened!.rasterFor({ width: 300, height: 300 }, NO_MARGINS);
    expect(width).toBe(300);
    // The rim of a disc drawn at this size is one pixel soft; enlarged thirtyfold it would be thirty.
    const soft = Array.from({ length: 300 }, (_, x) => rgba[4 * (150 * 300 + x) + 3]!).filter(
      (alpha) => alpha > 20 && alpha < 235,
    );
    expect(soft.length).toBeLessThanOrEqual(4);
  });
});

describe('an overlay that will not do', () => {
  it('is told with its place, all of them at once', async () => {
    const image = (file: string, n: number): Overlay => ({
      ...{ ...COMMON, path: `overlays[${n}]` },
      ...{ kind: 'image', image: inFolder(file), size: 0.1 },
    });
    const error: InputError = await openOverlays(
      [
        image('none.png', 0),
        image('broken.png', 1),
        textOverlay({ path: 'overlays[2]', font: inFolder('broken.ttf') }),
        textOverlay({ path: 'overlays[3]', font: inFolder('none.ttf') }),
        textOverlay({ path: 'overlays[4]', text: 'See 湖' }),
      ],
      'a.yaml',
    ).then(
      () => expect.unreachable(),
      (reason: InputError) => reason,
    );
    expect(
      error.problems.map(({ place, path, message }) => `${place}: ${path}: ${message}`),
    ).toEqual([
      `a.yaml: overlays[0].image: ${inFolder('none.png')} there is no such file`,
      `a.yaml: overlays[1].image: ${inFolder('broken.png')} is no picture that can be read`,
      `a.yaml: overlays[2].font: ${inFolder('broken.ttf')} is no TrueType or OpenType font (.ttf, .otf)`,
      `a.yaml: overlays[3].font: ${inFolder('none.ttf')} there is no such file`,
      "a.yaml: overlays[4].text: has signs that the font that comes along lacks: 湖; name another file with 'font'",
    ]);
  });
});

describe('when an overlay shows', () => {
  const title = { from: 1, to: 5, fade: 0.5, opacity: 0.8 };
  it.each([
    [0.99, 0],
    [1, 0],
    [1.25, 0.4],
    [1.5, 0.8],
    [4.5, 0.8],
    [4.75, 0.4],
    [5, 0],
    [9, 0],
  ])('at %d s: %d', (seconds, opacity) => {
    expect(opacityAt(title, seconds, 10)).toBeCloseTo(opacity, 9);
  });

  it('is there at once at the very start, and to the very end', () => {
    expect(opacityAt({ ...title, from: 0 }, 0, 10)).toBe(0.8);
    expect(opacityAt({ ...title, to: 10 }, 9.97, 10)).toBe(0.8);
  });

  it('never fades for longer than there is time', () => {
    expect(opacityAt({ ...title, fade: 60 }, 3, 10)).toBeCloseTo(0.8, 9);
    expect(opacityAt({ ...title, fade: 60 }, 2, 10)).toBeCloseTo(0.4, 9);
  });
});

describe('where an overlay lies', () => {
  const size = { width: 20, height: 10 };
  const frame = { width: 200, height: 100 };
  const margins = { top: 5, bottom: 15, left: 10, right: 30 };
  it.each([
    ['top-left', 10, 5],
    ['top', 80, 5],
    ['top-right', 150, 5],
    ['left', 10, 40],
    ['centre', 80, 40],
    ['right', 150, 40],
    ['bottom-left', 10, 75],
    ['bottom', 80, 75],
    ['bottom-right', 150, 75],
  ] as const)('%s', (place, left, top) => {
    expect(cornerOf(place, size, frame, margins)).toEqual({ left, top });
  });
});
