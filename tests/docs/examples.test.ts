import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { patchwork } from '../support/patchwork.js';
import { root } from './generated.js';

const examples = new URL('examples/', root);
const loader = pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href;

/** Examples import what is built; here they get the sources themselves, which are never out of date. */
const fromSource = (text: string): string => text.replaceAll("'../dist/", `'${root.href}src/`);

describe('examples', () => {
  let folder = '';
  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'orbreel-example-'));
  });
  afterAll(() => rmSync(folder, { recursive: true }));

  it('take from the library what it has', async () => {
    for (const file of readdirSync(examples).filter((name) => name.endsWith('.mjs'))) {
      const text = readFileSync(new URL(file, examples), 'utf8');
      const imports = [...text.matchAll(/import \{ (.+?) \} from '\.\.\/dist\/(.+?)\.js'/gu)];
      expect(imports.length, file).toBeGreaterThan(0);
      for (const [, names = '', path] of imports) {
        const module = (await import(new URL(`src/${path}.ts`, root).href)) as object;
        expect(Object.keys(module), `${file}: ${path}`).toEqual(
          expect.arrayContaining(names.split(', ')),
        );
      }
    }
  });

  it('one-still.mjs draws a little planet: the nadir in the middle, the sky in the corners', async () => {
    const file = (name: string) => join(folder, name);
    const { width, height, data } = patchwork.pixels;
    await sharp(data, { raw: { width, height, channels: 3 } })
      .png()
      .toFile(file('master.png'));
    writeFileSync(
      file('one-still.mjs'),
      fromSource(readFileSync(new URL('one-still.mjs', examples), 'utf8')),
    );
    execFileSync(
      process.execPath,
      ['--import', loader, file('one-still.mjs'), file('master.png'), file('planet.png')],
      { stdio: 'pipe' },
    );
    const picture = await sharp(file('planet.png')).raw().toBuffer({ resolveWithObject: true });
    expect(picture.info).toMatchObject({ width: 1080, height: 1080, channels: 3 });
    const nameAt = (x: number, y: number) =>
      patchwork.nameOf(picture.data.subarray((y * 1080 + x) * 3));
    expect(nameAt(540, 540)).toBe('nadir');
    // fov 260: 130 degrees off the axis half-way up the frame's edge, latitude 40 above the horizon;
    // the top looks along yaw -20, which is nearest to the patch at longitude 0.
    expect(nameAt(540, 2)).toBe('0,45');
    expect(nameAt(540, 1077)).toBe('180,45');
    expect(nameAt(1077, 540)).toBe('90,45');
  });
});
