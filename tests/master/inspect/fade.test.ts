import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { coverageOf } from '../../../src/master/inspect/coverage.js';
import { detectFormat } from '../../../src/master/inspect/format.js';
import { readGrid } from '../../../src/master/inspect/grid.js';
import { findHoles } from '../../../src/master/inspect/holes.js';
import { readPhoto } from '../../../src/master/inspect/photo.js';

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(path.join(tmpdir(), 'orbreel-fade-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

/** Colour by degrees from the zenith, in [0, 1) of the way round. */
type Sky = (degrees: number, turn: number) => readonly [number, number, number];

/** The holes found in a small JPEG of a sky above and a rough ground below. */
async function holesIn(width: number, quality: number, sky: Sky) {
  const height = width / 2;
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < width * height; i++) {
    const degrees = ((Math.floor(i / width) + 0.5) / height) * 180;
    const rough = ((i * 2654435761) >>> 8) % 60;
    const ground = [70 + rough, 80 + rough, 50 + rough] as const;
    data.set(degrees < 95 ? sky(degrees, (i % width) / width) : ground, 3 * i);
  }
  const file = path.join(folder, 'sky.jpg');
  await sharp(data, { raw: { width, height, channels: 3 } })
    .jpeg({ quality })
    .toFile(file);
  const photo = await readPhoto(file, await detectFormat(file));
  const coverage = coverageOf(photo, {});
  return findHoles(await readGrid(photo, coverage), coverage).holes;
}

/** Dips to the zenith as clear skies do; `by` codes at 90 degrees. */
const clear =
  (by: number): Sky =>
  (degrees, turn) => {
    const t = (by + 10 * Math.cos(2 * Math.PI * turn) * (degrees / 90)) * (degrees / 90) ** 2;
    return [50 + t, 95 + 0.8 * t, 165 + 0.5 * t];
  };

const linear: Sky = (degrees) => [60 + degrees, 100 + 0.8 * degrees, 180 + 0.4 * degrees];

const capped =
  (radius: number, colour: readonly [number, number, number], below: Sky): Sky =>
  (degrees, turn) =>
    degrees < radius ? colour : below(degrees, turn);

describe('a zenith that JPEG has made one colour', () => {
  it.each(
    [256, 512, 1024].flatMap((width) =>
      [60, 80, 95].flatMap((quality) => [60, 120, 180].map((by) => [width, quality, by] as const)),
    ),
  )('is no hole: %i wide, quality %i, fading by %i codes', async (width, quality, by) => {
    expect(await holesIn(width, quality, clear(by))).toEqual([]);
  });

  it.each([256, 512, 1024])('nor where it fades steadily: %i wide', async (width) => {
    expect(await holesIn(width, 80, linear)).toEqual([]);
  });
});

describe('a true hole at the zenith', () => {
  it.each(
    [256, 512, 1024].flatMap((width) =>
      (
        [
          ['black', [0, 0, 0]],
          ['grey', [128, 128, 128]],
          ['white', [255, 255, 255]],
          ['nearly of its colour', [62, 108, 180]],
        ] as const
      )
        // 256 wide, a sky fades more over two JPEG blocks than this one differs: nobody can tell.
        .filter(([name]) => width > 256 || !name.startsWith('nearly'))
        .map(([name, colour]) => [width, name, colour] as const),
    ),
  )('is one: %i wide, %s', async (width, _, colour) => {
    const holes = await holesIn(width, 90, capped(25, colour, clear(60)));
    expect(holes).toHaveLength(1);
    // JPEG blurs its edge over a block or two.
    expect(90 - holes[0]!.bottom).toBeGreaterThan(25 - (16 / width) * 360);
    expect(90 - holes[0]!.bottom).toBeLessThan(25 + (16 / width) * 360);
  });
});
