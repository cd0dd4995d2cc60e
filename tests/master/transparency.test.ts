import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { completeMaster } from '../../src/master/complete.js';
import { finishMaster } from '../../src/master/finish.js';
import { describeInspection, inspectMaster } from '../../src/master/inspect.js';
import { findHorizon, levelMaster } from '../../src/master/level.js';
import { openMaster, openMasterRows } from '../../src/master/open.js';
import { extraSamples } from '../../src/master/tiff.js';
import { isOpaque, noteOnFile } from '../../src/master/transparency.js';
import { tiff } from '../support/tiff.js';
import { exifTags } from './mark/pictures.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

let folder: string;
const at = (name: string) => join(folder, name);
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-transparency-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const WIDTH = 512;
const HEIGHT = 256;
/** Rows of the cap at the top through which nothing is to be seen; half as many after it are half there. */
const CAP = 32;

const shareOf = (row: number) => (row < CAP ? 0 : row < CAP + CAP / 2 ? 0.5 : 1);
/** Sky above ground with a soft pattern, as shares of white. */
const colourAt = (column: number, row: number): readonly [number, number, number] => {
  const wave = 0.04 * Math.sin((8 * Math.PI * column) / WIDTH) * Math.sin(row / 5);
  return row < HEIGHT / 2 ? [0.4 + wave, 0.6 + wave, 0.85] : [0.35 + wave, 0.3 + wave, 0.2 + wave];
};

type Kind = Uint8ArrayConstructor | Uint16ArrayConstructor;
const KINDS: readonly (readonly [bits: 8 | 16, kind: Kind])[] = [
  [8, Uint8Array],
  [16, Uint16Array],
];

/** @param beside what is beside the colours in a row, as shares; `multiplied` into these (premultiplied) */
function samples(Kind: Kind, beside: (row: number) => readonly number[], multiplied = false) {
  const most = Kind === Uint8Array ? 255 : 65535;
  const all: number[] = [];
  for (let row = 0; row < HEIGHT; row++) {
    const extra = beside(row);
    const factor = multiplied ? shareOf(row) : 1;
    for (let column = 0; column < WIDTH; column++) {
      const colour = colourAt(column, row).map((share) => share * factor);
      for (const share of [...colour, ...extra]) all.push(Math.round(share * most));
    }
  }
  return Kind.from(all);
}

const ALPHA = (row: number) => [shareOf(row)];

function write(
  name: string,
  data: Uint8Array | Uint16Array,
  extra: readonly number[] | undefined,
): string {
  const fields = { width: WIDTH, height: HEIGHT, data };
  writeFileSync(at(name), tiff(extra === undefined ? fields : { ...fields, extra }));
  return at(name);
}

const NOTE =
  "Its channel beside the colours is left out, as the file does not say that it is transparency (TIFF's tag ExtraSamples): where it is, export it anew with transparency.";

describe('what a TIFF says of its samples', () => {
  it.each([
    ['nothing', undefined, ['unspecified'], undefined],
    ['unspecified', [0], ['unspecified'], 0],
    ['associated', [1], ['associated alpha'], 1],
    ['unassociated', [2], ['unassociated alpha'], 2],
  ] as const)('%s: as ExifTool reads it, in both orders', async (name, extra, kinds, tag) => {
    const data = samples(Uint8Array, ALPHA);
    const file = write(`says-${name}.tif`, data, extra);
    expect(await extraSamples(file)).toEqual(kinds);
    expect(exifTags(file, '-n')['IFD0:ExtraSamples']).toBe(tag);
    const fields = { width: WIDTH, height: HEIGHT, data, ...(extra && { extra }) };
    writeFileSync(file, tiff({ ...fields, bigEndian: true }));
    expect(await extraSamples(file)).toEqual(kinds);
    expect((await sharp(file).metadata()).channels).toBe(4);
  });

  it('several, and those of grey', async () => {
    const two = write(
      'two.tif',
      samples(Uint8Array, (row) => [0.2, shareOf(row)]),
      [0, 2],
    );
    expect(await extraSamples(two)).toEqual(['unspecified', 'unassociated alpha']);
    const grey = { width: 2, height: 1, data: Uint8Array.of(10, 20, 30, 40) };
    writeFileSync(at('grey.tif'), tiff({ ...grey, extra: [0] }));
    expect(await extraSamples(at('grey.tif'))).toEqual(['unspecified']);
  });

  it('in a BigTIFF of libvips, and nothing of other files', async () => {
    const raw = { width: 4, height: 2, channels: 4 } as const;
    const picture = sharp(new Uint8Array(32).fill(99), { raw });
    await picture.clone().tiff({ bigtiff: true, compression: 'lzw' }).toFile(at('big.tif'));
    expect(await extraSamples(at('big.tif'))).toEqual(['unassociated alpha']);
    await picture
      .clone()
      .removeAlpha()
      .tiff({ bigtiff: true, compression: 'lzw' })
      .toFile(at('plain.tif'));
    expect(await extraSamples(at('plain.tif'))).toEqual([]);
    await picture.clone().png().toFile(at('a.png'));
    writeFileSync(at('short.tif'), Buffer.from('II*\0', 'latin1'));
    writeFileSync(at('astray.tif'), Buffer.from('49492a00ffffff7f', 'hex'));
    for (const name of ['a.png', 'short.tif', 'astray.tif']) {
      expect(await extraSamples(at(name)), name).toBeUndefined();
    }
  });
});

describe.each(KINDS)('a channel of %i bits that is not said to be transparency', (bits, Kind) => {
  const most = 2 ** bits - 1;
  const plain = samples(Kind, () => []);
  const file = (name: string, extra: readonly number[] | undefined) =>
    write(`${name}-${bits}.tif`, samples(Kind, ALPHA), extra);

  it.each([
    ['untold', undefined],
    ['unspecified', [0]],
  ] as const)('is left out of the picture: %s', async (name, extra) => {
    const master = file(name, extra);
    const { data } = await openMaster(master, { keepDepth: true, background: [255, 0, 255] });
    expect(data).toEqual(plain);
    const portions: number[] = [];
    const rows = await openMasterRows(master, { keepDepth: true, stripBytes: 65536 });
    for await (const strip of rows.strips) portions.push(...strip);
    expect(portions).toEqual([...plain]);
    expect(await isOpaque(master)).toBe(true);
    expect(await noteOnFile(master)).toEqual([NOTE]);
  });

  it('is no hole, and is told of', async () => {
    const master = file('looked-at', [0]);
    const inspection = await inspectMaster(master);
    expect(inspection).toMatchObject({ channels: 4, unspecified: 1, holes: [] });
    expect(describeInspection(inspection)).toContain(`  note: ${NOTE}\n`);
    writeFileSync(at('three.tif'), tiff({ width: WIDTH, height: HEIGHT, data: plain }));
    expect(await findHorizon(master)).toEqual(await findHorizon(at('three.tif')));
  });

  it('blackens no mask', async () => {
    const master = at('three.tif');
    writeFileSync(master, tiff({ width: WIDTH, height: HEIGHT, data: plain }));
    const codes = Array.from({ length: WIDTH * HEIGHT * 4 }, (_, index) =>
      index % 4 < 3 && index < CAP * WIDTH * 4 ? most : 0,
    );
    const mask = write(`mask-${bits}.tif`, Kind.from(codes), [0]);
    const options = { input: master, output: at('masked.tif'), fill: 'smooth', mask } as const;
    const { holes } = await completeMaster({ ...options, overwrite: true });
    expect(holes.map(({ pixels }) => pixels)).toEqual([CAP * WIDTH]);
  });

  it('hides no patch', async () => {
    const [master, patch] = [at('three.tif'), at('patch.tif')];
    writeFileSync(master, tiff({ width: WIDTH, height: HEIGHT, data: plain }));
    const codes = Array.from({ length: 64 * 64 * 4 }, (_, index) => [most, 0, 0, 0][index % 4]!);
    writeFileSync(patch, tiff({ width: 64, height: 64, data: Kind.from(codes), extra: [0] }));
    const options = { input: master, output: at('patched.tif'), patch: { image: patch } };
    await completeMaster({ ...options, overwrite: true });
    const { data } = await openMaster(at('patched.tif'), { keepDepth: true });
    expect([...data.subarray(-3)]).toEqual([most, 0, 0]);
  });

  it('is completed, levelled and finished without it', async () => {
    const master = file('worked-on', [0]);
    const pixels = async (name: string) => {
      const { channels } = await sharp(at(name)).metadata();
      expect(channels, name).toBe(3);
      return (await openMaster(at(name), { keepDepth: true })).data;
    };
    const completed = await completeMaster({
      input: master,
      output: at(`c-${bits}.tif`),
      overwrite: true,
    });
    expect(completed).toMatchObject({ holes: [], notes: ['The sphere was whole already.', NOTE] });
    expect(await pixels(`c-${bits}.tif`)).toEqual(plain);
    const levelled = await levelMaster({ input: master, output: at(`l-${bits}.tif`), yaw: 180 });
    expect(levelled.notes).toEqual([NOTE]);
    const turned = await pixels(`l-${bits}.tif`);
    const away = (WIDTH / 2) * 3;
    expect(Math.abs(turned[away]! - plain[0]!)).toBeLessThanOrEqual(most / 255);
    const finished = await finishMaster({
      input: master,
      output: at(`f-${bits}.png`),
      keep: ['tilt'],
    });
    expect(finished.notes).toContain(NOTE);
    expect(finished.completed).toBeUndefined();
    expect(await pixels(`f-${bits}.png`)).toEqual(plain);
  });
});

describe.each(KINDS)('a channel of %i bits that is transparency', (bits, Kind) => {
  const plain = samples(Kind, () => []);

  it.each([
    ['associated', [1], samples(Kind, ALPHA, true)],
    ['unassociated', [2], samples(Kind, ALPHA)],
    ['unassociated, behind a selection', [0, 2], samples(Kind, (row) => [0.7, shareOf(row)])],
    ['unassociated, before a selection', [2, 0], samples(Kind, (row) => [shareOf(row), 0.7])],
  ] as const)('shows its holes: %s', async (name, extra, data) => {
    const master = write(`${name}-${bits}.tif`, data, extra);
    expect(await isOpaque(master)).toBe(false);
    expect(await noteOnFile(master)).toEqual([]);
    const opened = await openMaster(master, { keepDepth: true, background: [255, 0, 255] });
    const most = 2 ** bits - 1;
    expect([...opened.data.subarray(0, 3)]).toEqual([most, 0, most]);
    const below = (CAP + CAP / 2) * WIDTH * 3;
    expect(opened.data.subarray(below)).toEqual(plain.subarray(below));

    const inspection = await inspectMaster(master);
    expect(inspection.unspecified).toBeUndefined();
    expect(inspection.holes.map(({ kind, bottom }) => [kind, bottom])).toEqual([
      // What is half there counts as there when it is looked at, and is filled when it is completed.
      ['transparent', 90 - (180 * CAP) / HEIGHT],
    ]);
    const output = at(`filled-${name}-${bits}.tif`);
    const completed = await completeMaster({ input: master, output, fill: 'smooth' });
    expect(completed.holes.map(({ pixels }) => pixels)).toEqual([(CAP + CAP / 2) * WIDTH]);
    expect(completed.notes).toEqual([]);
    const filled = (await openMaster(output, { keepDepth: true })).data;
    expect(filled.subarray(below)).toEqual(plain.subarray(below));
    // As the sky is around it, neither black nor the background of what is multiplied in.
    const sky = colourAt(0, CAP * 2).map((share) => share * most);
    for (const c of [0, 1, 2]) expect(Math.abs(filled[c]! - sky[c]!)).toBeLessThan(0.1 * most);
    await expect(levelMaster({ input: master, output: at('never.tif'), yaw: 9 })).rejects.toThrow(
      /expected a whole sphere, found transparent parts/,
    );
  });
});
