import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { completeMaster } from '../../src/master/complete.js';
import { makeWhole } from '../../src/master/finish/whole.js';
import { finishMaster } from '../../src/master/finish.js';
import { describeInspection, inspectMaster } from '../../src/master/inspect.js';
import { levelMaster } from '../../src/master/level.js';
import { checkMaster } from '../../src/master/open.js';
import { tiff } from '../support/tiff.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000 });

const folder = mkdtempSync(join(tmpdir(), 'orbreel-depth-'));
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true }));

const SIZE = { width: 128, height: 64 };
const count = SIZE.width * SIZE.height * 3;
/** A half of IEEE 754's 16 bits. */
const HALF = 0x3800;

const FILES = [
  ['float.tif', { data: new Float32Array(count).fill(0.5) }, 'floating-point numbers of 32 bits'],
  [
    'half.tif',
    { data: new Uint16Array(count).fill(HALF), format: 3 },
    'floating-point numbers of 16 bits',
  ],
  ['whole.tif', { data: new Uint32Array(count).fill(2 ** 31) }, 'whole numbers of 32 bits'],
  ['signed.tif', { data: new Uint16Array(count).fill(99), format: 2 }, 'signed numbers of 16 bits'],
] as const;

beforeAll(() => {
  for (const [name, fields] of FILES) writeFileSync(at(name), tiff({ ...SIZE, ...fields }));
});

describe.each(FILES)('%s', (name, { data }, found) => {
  const input = at(name);
  const unsaid = found.startsWith('floating') ? ', which may be linear light or not' : '';
  const sentence = `${input}: expected 8 or 16 bits a channel, found ${found}${unsaid}: export it as a 16-bit TIFF in sRGB, or linear light, for scenes, as OpenEXR`;

  it('is what it is to be', async () => {
    const { bitsPerSample, channels } = await sharp(input).metadata();
    expect([bitsPerSample, channels]).toEqual([8 * data.BYTES_PER_ELEMENT, 3]);
  });

  it.each([
    ['a scene', () => checkMaster(input)],
    ['complete', () => completeMaster({ input, output: at('never.tif') })],
    ['complete, inspected before', () => makeWhole({ input, output: at('never.tif') })],
    ['level', () => levelMaster({ input, output: at('never.tif'), yaw: 3 })],
    ['finish', () => finishMaster({ input, output: at('never.tif') })],
  ])('is refused by %s in one sentence that names the way out', async (_, work) => {
    await expect(work()).rejects.toThrow(sentence);
    expect(readdirSync(folder).toSorted()).toEqual(FILES.map(([file]) => file).toSorted());
  });

  it('is told of where it is looked at, before all else', async () => {
    const inspection = await inspectMaster(input);
    expect(inspection.samples).toBe(found);
    expect(inspection.advice[0]).toBe(
      `Its samples are ${found}, which nothing that redraws it takes: export it as a 16-bit TIFF in sRGB, and go on with that.`,
    );
    expect(describeInspection(inspection)).not.toContain('master finish');
  });
});
