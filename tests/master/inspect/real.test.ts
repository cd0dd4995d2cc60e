import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, describe, expect, it } from 'vitest';
import { coverageOf } from '../../../src/master/inspect/coverage.js';
import { detectFormat } from '../../../src/master/inspect/format.js';
import { readGrid } from '../../../src/master/inspect/grid.js';
import { findHoles } from '../../../src/master/inspect/holes.js';
import { readPhoto } from '../../../src/master/inspect/photo.js';
import { measurePoleRow, measureSeam } from '../../../src/master/inspect/seam.js';
import { type PhotoName, photo } from '../../support/photos.js';

const folder = mkdtempSync(join(tmpdir(), 'orbreel-inspect-real-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const NAMES: readonly PhotoName[] = [
  'dawn',
  'park',
  'sunset',
  'forest',
  'city',
  'bridge',
  'sky',
  'sunrise',
];

async function open(file: string) {
  const opened = await readPhoto(file, await detectFormat(file));
  return { opened, coverage: coverageOf(opened, {}) };
}

async function holesOf(file: string) {
  const { opened, coverage } = await open(file);
  return findHoles(await readGrid(opened, coverage), coverage).holes;
}

describe.each(NAMES)('the real photograph %s', (name) => {
  const make = async () => {
    const { width, height, data } = await photo(name);
    return sharp(Buffer.from(data), { raw: { width, height, channels: 3 } });
  };

  it('has no hole, no seam, and a point at each pole', async () => {
    const file = join(folder, `${name}.png`);
    await (await make()).toFile(file);
    expect(await holesOf(file)).toEqual([]);
    const { opened } = await open(file);
    expect((await measureSeam(opened))?.visible).toBe(false);
    expect((await measurePoleRow(opened, 'first')).isPoint).toBe(true);
    expect((await measurePoleRow(opened, 'last')).isPoint).toBe(true);
  });

  it('has exactly the hole that is cut into it, in a PNG and in a JPEG', async () => {
    const cap = { create: { width: 512, height: 43, channels: 3 as const, background: '#000' } };
    const input = await sharp(cap).png().toBuffer();
    const cut = (await make()).composite([{ input, left: 0, top: 213 }]);
    for (const extension of ['png', 'jpg']) {
      const file = join(folder, `${name}-cut.${extension}`);
      await (extension === 'jpg' ? cut.clone().jpeg({ quality: 90 }) : cut.clone()).toFile(file);
      const holes = await holesOf(file);
      expect(holes).toHaveLength(1);
      expect(holes[0]?.touches).toEqual(['bottom']);
      const exact = 2 * Math.PI * (1 - Math.cos((43 / 256) * Math.PI));
      const share = (holes[0]?.solidAngle ?? 0) / exact;
      // A JPEG's blocks blur its rim by at most eight of the 43 rows.
      expect(share).toBeGreaterThan(extension === 'png' ? 0.999 : 0.65);
      expect(share).toBeLessThan(1.05);
    }
  });
});

describe('real photographs without their upper part', () => {
  it.each(['city', 'forest', 'bridge', 'park'] as const)(
    '%s, stretched to 2:1, has no point at its top',
    async (name) => {
      const { width, height, data } = await photo(name);
      const file = join(folder, `${name}-stretched.png`);
      // From latitude 9 degrees down: trees and houses reach over it.
      await sharp(Buffer.from(data), { raw: { width, height, channels: 3 } })
        .extract({ left: 0, top: 115, width, height: 141 })
        .resize(width, height, { fit: 'fill' })
        .toFile(file);
      const { opened } = await open(file);
      expect((await measurePoleRow(opened, 'first')).isPoint).toBe(false);
    },
  );
});
