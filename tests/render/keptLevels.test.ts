import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { ENTRY_WORD } from '../../src/cache/entry.js';
import { Interrupted } from '../../src/errors.js';
import { type GlContext, openContext } from '../../src/render/context.js';
import { type PrepareOptions, prepareMaster } from '../../src/render/prepare.js';
import { createPyramid } from '../../src/render/pyramid.js';
import { readPage } from '../support/deep.js';
import { photo } from '../support/photos.js';

/** How often a master has begun to be decoded. */
const decoded = vi.hoisted(() => ({ times: 0 }));
vi.mock('../../src/master/open.js', async (original) => {
  const real = await original<typeof import('../../src/master/open.js')>();
  return {
    ...real,
    planMasterRows: async (...words: Parameters<typeof real.planMasterRows>) => {
      const planned = await real.planMasterRows(...words);
      const begin = () => {
        decoded.times++;
        return planned.begin();
      };
      return { ...planned, begin };
    },
  };
});

let context: GlContext;
let folder: string;
let cache: string;
beforeAll(async () => {
  context = await openContext();
});
afterAll(() => context.close());
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-kept-'));
  cache = join(folder, 'cache', 'orbreel');
});
afterEach(() => rmSync(folder, { recursive: true }));

/** Of 700x350, whose levels are no halves; its name says what it is. */
async function masterAt(name: string, change = (picture: Sharp) => picture): Promise<string> {
  const { data, width, height } = await photo('park');
  const file = join(folder, name);
  const picture = sharp(data, { raw: { width, height, channels: 3 } });
  await change(picture.resize(700, 350, { fit: 'fill' })).toFile(file);
  return file;
}

/** Whether it was decoded, and a sum of all that each of its textures holds. */
async function prepared(file: string, options: PrepareOptions = {}) {
  const before = decoded.times;
  const texture = await prepareMaster(context, file, { keptBeyond: 0, cache, ...options });
  const all = [...texture.pages, ...(texture.lowPages ?? [])];
  const pages = all.map((page) =>
    createHash('sha256').update(readPage(context, page)).digest('hex'),
  );
  texture.destroy();
  return { pages, wasDecoded: decoded.times > before };
}

const entries = () => readdirSync(cache);
const deep = (picture: Sharp) => picture.toColourspace('rgb16').png();

describe('levels that are kept', () => {
  // When this fails because levels are to be made otherwise, the word must change too, or old entries would be taken
  // for new ones.
  it.each([
    [8, '63a2cebff55fd885'],
    [16, '7a9be644c1b338ea'],
  ] as const)('have a word of their own for each way of making them (%i bits)', (depth, sum) => {
    const size = { width: 700, height: 350 };
    const sizes = Array.from({ length: 10 }, (_, level) => ({
      width: Math.max(1, size.width >> level),
      height: Math.max(1, size.height >> level),
    }));
    const hash = createHash('sha256');
    const pyramid = createPyramid(depth, size, sizes, (level, row, codes) => {
      hash.update(`${level} ${row} ${codes.join()}`);
    });
    const samples = Array.from(
      { length: 3 * size.width * size.height },
      (_, i) => ((i * i) % 251) * (depth === 16 ? 257 : 1),
    );
    pyramid.add(depth === 16 ? Uint16Array.from(samples) : Uint8Array.from(samples));
    expect([ENTRY_WORD, hash.digest('hex').slice(0, 16)]).toEqual(['orbreel levels 2', sum]);
  });

  it.each([
    ['8 bits', 'a.jpg', {}, undefined],
    ['16 bits', 'a.png', { keepDepth: true }, deep],
  ] as const)('are the very ones that were made: %s', async (_, name, options, change) => {
    const file = await masterAt(name, change);
    const without = await prepared(file, { ...options, cache: undefined });
    const first = await prepared(file, options);
    const second = await prepared(file, options);
    expect([first.wasDecoded, second.wasDecoded]).toEqual([true, false]);
    expect(without.pages.length).toBe(name === 'a.png' ? 2 : 1);
    expect(first.pages).toEqual(without.pages);
    expect(second.pages).toEqual(without.pages);
    expect(entries()).toHaveLength(1);
  });

  it('are made anew of a master that is changed, or read otherwise', async () => {
    const file = await masterAt('a.png', deep);
    await prepared(file);
    const otherwise: PrepareOptions[] = [{ keepDepth: true }, { background: [9, 9, 9] }];
    for (const options of otherwise) {
      expect((await prepared(file, options)).wasDecoded).toBe(true);
      expect((await prepared(file, options)).wasDecoded).toBe(false);
    }
    await masterAt('a.png', (picture) => picture.negate());
    const changed = await prepared(file);
    expect(changed.wasDecoded).toBe(true);
    expect(changed.pages).toEqual((await prepared(file, { cache: undefined })).pages);
  });

  it('are made anew of a JPEG that is turned, or decoded smaller', async () => {
    const file = await masterAt('a.jpg');
    const upright = await prepared(file);
    await masterAt('a.jpg', (picture) => picture.withMetadata({ orientation: 3 }));
    const turned = await prepared(file);
    expect(turned.wasDecoded).toBe(true);
    expect(turned.pages).not.toEqual(upright.pages);
    // A half is enough for both, and they share it.
    expect((await prepared(file, { maxWidth: 350 })).wasDecoded).toBe(true);
    expect((await prepared(file, { maxWidth: 300 })).wasDecoded).toBe(false);
  });

  it.each([
    ['is cut off', (bytes: Buffer) => bytes.subarray(0, bytes.length - 1000)],
    ['is empty', () => Buffer.alloc(0)],
    ['has lost its end', (bytes: Buffer) => bytes.subarray(0, bytes.length - 8)],
    ['has another layout', (bytes: Buffer) => bytes.fill(0, 0, 8)],
    ['has a wrong byte', (bytes: Buffer) => bytes.with(-200, bytes.at(-200)! ^ 1)],
  ])('are made anew where the file %s', async (_, damage) => {
    const file = await masterAt('a.jpg');
    const { pages } = await prepared(file);
    const entry = join(cache, entries()[0]!);
    const whole = readFileSync(entry);
    writeFileSync(entry, damage(Buffer.from(whole)));
    const mended = await prepared(file);
    expect(mended).toEqual({ pages, wasDecoded: true });
    expect(readFileSync(entry).equals(whole)).toBe(true);
    expect(await prepared(file)).toEqual({ pages, wasDecoded: false });
  });

  it('are of no use to a device that lays masters out otherwise', async () => {
    const file = await masterAt('a.jpg');
    await prepared(file);
    const small = { ...context, info: { ...context.info, maxTextureSize: 512 } };
    const before = decoded.times;
    const texture = await prepareMaster(small, file, { keptBeyond: 0, cache });
    expect(texture.pages.length).toBeGreaterThan(1);
    expect(decoded.times).toBe(before + 1);
    texture.destroy();
  });

  it('may be made by several at once', async () => {
    const file = await masterAt('a.jpg');
    const all = await Promise.all([prepared(file), prepared(file), prepared(file)]);
    for (const { pages } of all) expect(pages).toEqual(all[0]!.pages);
    expect(entries()).toHaveLength(1);
    expect((await prepared(file)).wasDecoded).toBe(false);
  });

  it('leave nothing behind when they are given up', async () => {
    const file = await masterAt('a.jpg');
    const stopped = prepared(file, { signal: AbortSignal.abort() });
    await expect(stopped).rejects.toThrow(Interrupted);
    expect(entries()).toEqual([]);
  });

  it('are not kept where no folder can be made, of small masters, or of parts of them', async () => {
    const file = await masterAt('a.jpg');
    expect((await prepared(file, { cache: join(file, 'below a file') })).wasDecoded).toBe(true);
    const small = await prepareMaster(context, file, { cache });
    small.destroy();
    const seen = { parts: [{ least: 1, most: 2, top: 0, bottom: 3, left: 0, across: 6 }] };
    const part = await prepareMaster(context, file, { cache, keptBeyond: 0, seen });
    part.destroy();
    expect(() => entries()).toThrow('ENOENT');
  });

  it('are for their owner only', async () => {
    await prepared(await masterAt('a.jpg'));
    if (process.platform === 'win32') return;
    expect(statSync(join(cache, entries()[0]!)).mode & 0o777).toBe(0o600);
  });
});
