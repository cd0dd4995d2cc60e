import { readFileSync } from 'node:fs';
import sharp from 'sharp';
import { beforeEach, describe, expect, it } from 'vitest';
import { workFolder } from '../support.js';
import { asPicture, CAMERA, crop, rowsOfSphere, spherePixels, tag, WIDTH } from './support.js';

describe('orbreel master inspect', () => {
  const folder = workFolder();
  const inspect = (...words: string[]) => folder.run(['master', 'inspect', ...words]);
  beforeEach(async () => {
    const file = folder.file('part.jpg');
    await (await rowsOfSphere(40, 180)).jpeg({ quality: 95 }).toFile(file);
    tag(file, ...CAMERA, ...crop(180, 40));
  });

  it('sets claims beside what is so, and ends with what to do', async () => {
    const { code, stdout, stderr } = await inspect('part.jpg');
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^part\.jpg: JPEG, [\d.]+ MB\n {2}512x180, 0\.1 MP, 2\.844:1\n/);
    // 40 of 256 rows are missing above: 90 - 40 x 180 / 256 degrees.
    expect(stdout).toContain(
      'coverage (from its metadata): longitude -180.0° to 180.0°, latitude 61.9° to -64.7°, 89.30 % of the sphere',
    );
    expect(stdout).toMatch(/\n {2}TRUE {6}place in the sphere {2,}512x180 at 0,40 of 512x256\n/);
    expect(stdout).toMatch(
      /\n {2}MISSING {3}required GPano fields [^>]*PoseHeadingDegrees\n +> orbreel master mark/,
    );
    expect(stdout).toContain('orbreel master complete part.jpg --out FILE');
    expect(await folder.names()).toEqual(['master.png', 'part.jpg']);
  });

  it('prints a list as JSON, with what is wrong in its place', async () => {
    const { code, stdout, stderr } = await inspect('part.jpg', 'none.jpg', '--json');
    expect([code, stderr]).toEqual([2, 'none.jpg: there is no such file\n']);
    const [part, none] = JSON.parse(stdout);
    expect(part).toMatchObject({ file: 'part.jpg', width: WIDTH, coverage: { basis: 'metadata' } });
    expect(none).toEqual({
      file: 'none.jpg',
      problems: [{ place: 'none.jpg', path: '', message: 'there is no such file' }],
    });
  });

  it('draws the holes', async () => {
    const capped = Buffer.from(await spherePixels());
    capped.fill(0, 200 * 3 * WIDTH);
    await asPicture(capped).png().toFile(folder.file('capped.png'));
    const { code, stdout } = await inspect('capped.png', '--holes', 'holes.png');
    expect(stdout).toContain(
      '\nholes:\n  one colour (0, 0, 0), touches the bottom: latitude -50.6°',
    );
    expect(stdout).toMatch(/\nholes\.png: the sphere with its holes striped\n$/);
    expect(code).toBe(0);
    const picture = sharp(folder.file('holes.png'));
    expect(await picture.metadata()).toMatchObject({ width: 1024, height: 512 });
    const magenta = async (top: number, height: number) => {
      const part = picture.clone().extract({ left: 0, top, width: 1024, height });
      const { data } = await part.raw().toBuffer({ resolveWithObject: true });
      let count = 0;
      for (let i = 0; i < data.length; i += 3) {
        if (data[i] === 255 && data[i + 1] === 0 && data[i + 2] === 200) count++;
      }
      return count / (1024 * height);
    };
    expect(await magenta(402, 110)).toBeCloseTo(0.5, 1);
    expect(await magenta(0, 398)).toBe(0);
    const before = readFileSync(folder.file('holes.png'));
    expect(await inspect('part.jpg', '--holes', 'holes.png')).toEqual({
      code: 2,
      stdout: '',
      stderr: 'holes.png: already exists: choose another name, or add --overwrite to replace it.\n',
    });
    expect(readFileSync(folder.file('holes.png')).equals(before)).toBe(true);
  });

  it('the picture of the holes is a PNG of one master', async () => {
    expect(await inspect('part.jpg', 'master.png', '--holes', 'holes.jpg')).toEqual({
      code: 2,
      stdout: '',
      stderr:
        "--holes: takes one master at a time\n--holes: takes a name that ends in .png, found 'holes.jpg'\n",
    });
  });
});
