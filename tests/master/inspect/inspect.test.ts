import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import {
  type Claim,
  describeInspection,
  type Inspection,
  inspectMaster,
  renderHoles,
} from '../../../src/master/inspect.js';
import { markMaster } from '../../../src/master/mark.js';
import { makeFolder, paint, type Rgb, run, valley } from '../mark/pictures.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const folder = makeFolder('inspect');
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const set = (file: string, ...args: string[]) =>
  run('exiftool', '-q', '-n', '-overwrite_original', ...args, file);

const save = async (name: string, picture: Sharp): Promise<string> => {
  await picture.toFile(at(name));
  return at(name);
};

const claim = (inspection: Inspection, name: string): Claim | undefined =>
  inspection.claims.find((each) => each.claim === name);

/** Solid angle of a cap of this radius in degrees: 2 pi (1 - cos r). */
const cap = (radius: number) => 2 * Math.PI * (1 - Math.cos((radius * Math.PI) / 180));

describe('a whole master that is marked rightly', () => {
  let inspection: Inspection;
  beforeAll(async () => {
    const file = await save(
      'whole.jpg',
      paint(1024, 512, valley).withIccProfile('p3').jpeg({ quality: 92 }),
    );
    set(
      file,
      '-IFD0:Make=Windmill',
      '-IFD0:Model=Balloon 3',
      '-ExifIFD:LensModel=Two glasses',
      '-ExifIFD:FocalLength=8.2',
      '-ExifIFD:DateTimeOriginal=2024:05:01 05:41:00',
      '-ExifIFD:OffsetTimeOriginal=+02:00',
    );
    await markMaster({ input: file, overwrite: true, heading: 12 });
    inspection = await inspectMaster(file);
  });

  it('tells what it is', () => {
    expect(inspection).toMatchObject({
      kind: 'photo',
      format: 'JPEG',
      width: 1024,
      height: 512,
      megapixels: 0.524288,
      aspect: 2,
      depth: 8,
      channels: 3,
      colourSpace: 'srgb',
      profile: 'sP3C',
      camera: {
        make: 'Windmill',
        model: 'Balloon 3',
        lens: 'Two glasses',
        focalLength: '8.2 mm',
        captured: '2024:05:01 05:41:00+02:00',
        hasPlace: false,
      },
      grid: { width: 1024, height: 512, reduced: false },
    });
  });

  it('finds its claims true and nothing missing', () => {
    expect(inspection.claims.filter(({ verdict }) => verdict === 'false')).toEqual([]);
    for (const name of ['projection', 'place in the sphere', 'colour profile', 'file name']) {
      expect(claim(inspection, name)?.verdict, name).toBe('true');
    }
    expect(inspection.coverage).toMatchObject({
      basis: 'metadata',
      left: -180,
      right: 180,
      top: 90,
      bottom: -90,
    });
    expect(inspection.coverage.solidAngle).toBeCloseTo(4 * Math.PI, 12);
    expect(inspection.coverage.percent).toBeCloseTo(100, 12);
    expect(inspection.holes).toEqual([]);
    expect(inspection.missing.percent).toBeCloseTo(0, 9);
    expect(inspection.seam?.visible).toBe(false);
    expect(inspection.poles.top?.isPoint).toBe(true);
    expect(inspection.poles.bottom?.isPoint).toBe(true);
    expect(inspection.highlights).toEqual({ blown: 0, clipped: 0 });
    expect(inspection.advice).toEqual([]);
    expect(describeInspection(inspection)).toContain('next: nothing to mend');
  });
});

describe('how large a frame it fills', () => {
  it('is the master’s width over 2 pi a radian, by the laws of the projections', async () => {
    const { sizes } = await inspectMaster(await save('w.png', paint(720, 360, valley)));
    const perRadian = 720 / (2 * Math.PI);
    const tan = (degrees: number) => Math.tan((degrees * Math.PI) / 180);
    const at = (fov: number) =>
      sizes.find((each) => each.projection === 'rectilinear' && each.fov === fov);
    for (const fov of [60, 75, 90, 100, 120]) {
      const centre = 2 * tan(fov / 2) * perRadian;
      expect(at(fov)?.centre).toBe(Math.floor(centre));
      // d tan(t) / dt = 1 / cos^2 t, at the frame's edge.
      expect(at(fov)?.everywhere).toBe(Math.floor(centre * Math.cos((fov * Math.PI) / 360) ** 2));
    }
    // 90 degrees: W / pi.
    expect(at(90)?.centre).toBe(Math.floor(720 / Math.PI));
    const planet = sizes.find((each) => each.projection === 'stereographic');
    expect(planet?.fov).toBe(240);
    // r = 2 tan(t / 2), its slope 1 / cos^2(t / 2): at t = 120 degrees 2 tan 60 and 4.
    expect(planet?.centre).toBe(Math.floor(4 * tan(60) * perRadian));
    expect(planet?.everywhere).toBe(Math.floor(tan(60) * perRadian));
  });
});

describe('holes', () => {
  const black = (test: (longitude: number, latitude: number) => boolean, colour: Rgb = [0, 0, 0]) =>
    paint(1024, 512, (lon, lat) => (test(lon, lat) ? colour : valley(lon, lat)), 0);

  it.each(['png', 'jpg'])('measures a black nadir cap in a %s', async (extension) => {
    const file = await save(
      `nadir.${extension}`,
      black((_, lat) => lat < -60),
    );
    const { holes, missing, coverage } = await inspectMaster(file);
    expect(coverage.basis).toBe('shape');
    expect(holes).toHaveLength(1);
    expect(holes[0]).toMatchObject({
      kind: 'constant',
      touches: ['bottom'],
      left: -180,
      right: 180,
      bottom: -90,
    });
    // JPEG's ringing blurs the rim by up to a block of 8 rows of 0.35 degrees.
    const slack = extension === 'png' ? 0.4 : 3;
    expect(Math.abs((holes[0]?.top ?? 0) + 60)).toBeLessThan(slack);
    expect(Math.abs((holes[0]?.solidAngle ?? 0) / cap(30) - 1)).toBeLessThan(
      extension === 'png' ? 0.015 : 0.06,
    );
    expect(missing.solidAngle).toBeCloseTo(holes[0]?.solidAngle ?? 0, 12);
    expect(holes[0]?.percent).toBeCloseTo((100 * (holes[0]?.solidAngle ?? 0)) / (4 * Math.PI), 12);
  });

  it('finds transparent caps, a constant disc across the seam, and tells them apart', async () => {
    const disc = (lon: number, lat: number) => {
      const [a, b] = [(lat * Math.PI) / 180, ((Math.abs(lon) - 180) * Math.PI) / 180];
      return Math.cos(a) * Math.cos(b) > Math.cos((12 * Math.PI) / 180);
    };
    const base = black(disc, [128, 128, 128]);
    const alpha = Buffer.alloc(1024 * 512, 255);
    alpha.fill(0, 0, 1024 * 60);
    const file = await save(
      'alpha.png',
      base.joinChannel(alpha, { raw: { width: 1024, height: 512, channels: 1 } }),
    );
    const { holes } = await inspectMaster(file);
    expect(holes.map(({ kind, touches }) => [kind, ...touches])).toEqual([
      ['transparent', 'top'],
      ['constant'],
    ]);
    expect(holes[0]?.bottom).toBeCloseTo(90 - (60 / 512) * 180, 9);
    expect(holes[0]?.solidAngle).toBeCloseTo(cap((60 / 512) * 180), 9);
    expect(holes[1]?.colour).toEqual([128, 128, 128]);
    expect(holes[1]?.left).toBeGreaterThan(160);
    expect(holes[1]?.right).toBeGreaterThan(190);
    expect(holes[1]?.solidAngle).toBeCloseTo(cap(12), 2);
  });

  it('takes neither a clear sky, a blown sun nor a small mark for a hole', async () => {
    const file = await save(
      'sky.jpg',
      paint(1024, 512, (lon, lat) => {
        const sun = Math.hypot(lon - 40, lat - 50);
        if (lat > 0) {
          const glow = 400 * Math.exp(-sun / 6);
          return [60 + (90 - lat) / 3 + glow, 110 + (90 - lat) / 3 + glow, 200 + glow];
        }
        return Math.hypot(lon + 90, lat + 30) < 1.5 ? [255, 0, 0] : valley(lon, lat);
      }).jpeg({ quality: 80 }),
    );
    const { holes, highlights } = await inspectMaster(file);
    expect(holes).toEqual([]);
    expect(highlights.blown).toBeGreaterThan(0.05);
    expect(highlights.clipped).toBeGreaterThan(highlights.blown);
  });

  it('tells of transparent specks that are too small for holes, also between its samples', async () => {
    const speckled = async (width: number, every: number) => {
      const height = width / 2;
      const data = await paint(width, height, valley).ensureAlpha().raw().toBuffer();
      for (let i = width * 200 + 3; i < width * height; i += every) data[4 * i + 3] = 0;
      const picture = sharp(data, { raw: { width, height, channels: 4 } });
      return inspectMaster(await save('specks.png', picture.png({ compressionLevel: 1 })));
    };
    const many = await speckled(1024, 997);
    expect(many.holes).toEqual([]);
    expect(many.missing.percent).toBeGreaterThan(0.04);
    expect(many.missing.percent).toBeCloseTo(many.specks?.percent ?? 0);
    expect(many.advice[0]).toMatch(/^Make it whole: orbreel master complete .*specks\.png/);
    expect(describeInspection(many)).toContain('specks and soft edges that are not wholly opaque');
    const one = await speckled(8192, 8192 * 4096);
    expect(one).toMatchObject({ holes: [], specks: { solidAngle: 0 } });
    expect(one.advice[0]).toMatch(/^Make it whole/);
  });

  it('takes a smooth sky of one colour at the zenith for sky', async () => {
    const file = await save(
      'calm.png',
      paint(
        1024,
        512,
        (lon, lat) => (lat > 0 ? [90 - lat / 4, 140 - lat / 4, 220] : valley(lon, lat)),
        0,
      ),
    );
    expect((await inspectMaster(file)).holes).toEqual([]);
  });

  it('says that a whole sphere with holes is not whole, and what to do', async () => {
    const file = await save(
      'claims-whole.jpg',
      black((_, lat) => lat > 70),
    );
    await markMaster({ input: file, overwrite: true });
    const inspection = await inspectMaster(file);
    expect(claim(inspection, 'whole sphere')).toMatchObject({
      verdict: 'false',
      found: expect.stringMatching(/^\d\.\d\d % of it shows nothing$/),
    });
    expect(inspection.advice[0]).toMatch(
      /^Make it whole: orbreel master complete .*claims-whole\.jpg --out FILE$/,
    );
  });

  it('draws them on a thumbnail of the whole sphere', async () => {
    const file = await save(
      'drawn.png',
      black((_, lat) => lat < -45),
    );
    const inspection = await inspectMaster(file);
    const { data, info } = await sharp(await renderHoles(inspection, file, 400))
      .raw()
      .toBuffer({ resolveWithObject: true });
    expect([info.width, info.height, info.channels]).toEqual([400, 200, 3]);
    const marked = (fromRow: number, toRow: number) => {
      let count = 0;
      for (let i = 3 * 400 * fromRow; i < 3 * 400 * toRow; i += 3) {
        if (data[i] === 255 && data[i + 1] === 0 && data[i + 2] === 200) count += 1;
      }
      return count / (400 * (toRow - fromRow));
    };
    expect(marked(0, 149)).toBe(0);
    expect(marked(151, 200)).toBeCloseTo(0.5, 1);
    const partial = { coverage: { ...inspection.coverage, top: 45 } };
    const second = await sharp(await renderHoles(partial, file, 400))
      .raw()
      .toBuffer();
    expect([...second.subarray(0, 3)]).toEqual([255, 0, 200]);
  });
});

describe('seam and poles', () => {
  it('sees a step in exposure at ±180° that noise would hide from single pixels', async () => {
    const vignette = (lon: number, lat: number): Rgb => {
      const fall = lon > 0 ? (lon / 180) * 5 : 0;
      return valley(lon, lat).map((code) => code - fall) as unknown as Rgb;
    };
    const good = await inspectMaster(await save('seam-good.png', paint(1024, 512, valley, 24)));
    const bad = await inspectMaster(await save('seam-bad.png', paint(1024, 512, vignette, 24)));
    expect(good.seam?.visible).toBe(false);
    expect(bad.seam?.visible).toBe(true);
    expect(bad.seam?.step).toBeGreaterThan(3.5);
    expect(bad.seam?.mostStep).toBeLessThan(2);
    expect(bad.advice.join()).toMatch(/seam at longitude ±180° shows/);
  });

  it('does not take the edges of JPEG blocks for a seam', async () => {
    const file = await save('blocks.jpg', paint(1024, 512, valley, 12).jpeg({ quality: 40 }));
    expect((await inspectMaster(file)).seam?.visible).toBe(false);
  });

  it('sees that a cut-off top stretched to 2:1 does not end in a point', async () => {
    const stretched = (lon: number, lat: number) => valley(lon, lat > 0 ? lat / 20 : lat);
    const { poles, advice } = await inspectMaster(
      await save('stretched.png', paint(1024, 512, stretched)),
    );
    expect(poles.top?.isPoint).toBe(false);
    expect(poles.bottom?.isPoint).toBe(true);
    expect(advice.join()).toMatch(/first row is no point, as it should be on a sphere/);
  });
});

describe('claims', () => {
  it('judges the square picture from the wild', async () => {
    const file = await save('wild.png', paint(1024, 1024, valley).png());
    set(file, '-XMP-GPano:ProjectionType=equirectangular');
    const inspection = await inspectMaster(file);
    expect(claim(inspection, 'projection')).toMatchObject({
      says: 'equirectangular',
      verdict: 'false',
      found: '1024x1024 is not 2:1, and nothing places it',
    });
    expect(claim(inspection, 'required GPano fields')?.verdict).toBe('missing');
    expect(inspection.coverage.basis).toBe('supposed');
    const advice = inspection.advice.join('\n');
    expect(advice).toMatch(/orbreel master complete .*wild\.png --across DEG --top DEG --out FILE/);
    expect(advice).toMatch(/orbreel master mark .*wild\.png --flat/);
  });

  it('finds metadata that contradict the pixels and themselves', async () => {
    const file = await save('liar.png', paint(512, 256, valley).jpeg());
    const jpeg = at('liar.jpg');
    writeFileSync(jpeg, readFileSync(file));
    set(
      jpeg,
      '-XMP-GPano:ProjectionType=equirectangular',
      '-XMP-GPano:CroppedAreaImageWidthPixels=500',
      '-XMP-GPano:CroppedAreaImageHeightPixels=256',
      '-XMP-GPano:FullPanoWidthPixels=400',
      '-XMP-GPano:FullPanoHeightPixels=300',
      '-XMP-GPano:CroppedAreaLeftPixels=0',
      '-XMP-GPano:CroppedAreaTopPixels=0',
      '-XMP-GPano:PoseHeadingDegrees=400',
      '-ExifIFD:ExifImageWidth=4000',
      '-ExifIFD:ExifImageHeight=3000',
      '-ExifIFD:DateTimeOriginal=2999:01:01 00:00:00',
      '-ExifIFD:ColorSpace=1',
      '-GPS:GPSLatitude=0',
      '-GPS:GPSLatitudeRef=N',
      '-GPS:GPSLongitude=0',
      '-GPS:GPSLongitudeRef=E',
    );
    const inspection = await inspectMaster(jpeg);
    const verdicts = Object.fromEntries(
      inspection.claims.map((each) => [each.claim, each.verdict]),
    );
    expect(verdicts).toMatchObject({
      'place in the sphere': 'false',
      PoseHeadingDegrees: 'false',
      "EXIF's size": 'false',
      'capture time': 'false',
      place: 'false',
      'colour profile': 'missing',
    });
    expect(claim(inspection, 'place in the sphere')?.found).toMatch(
      /says the picture is 500x256, found the picture's 512x256; .*twice as wide as high, found 400x300; .*left 0 \+ width 500 for 400/,
    );
    expect(inspection.advice.join()).toMatch(/Mark it rightly: orbreel master mark/);
    const named = await inspectMaster(file);
    expect(claim(named, 'file name')).toMatchObject({
      verdict: 'false',
      says: '.png',
      found: 'JPEG',
      advice: 'rename it to end in .jpg',
    });
  });

  it('covers what a right crop says, and never tells the place', async () => {
    const file = await save('band.jpg', paint(720, 240, valley).jpeg());
    await markMaster({
      input: file,
      overwrite: true,
      place: { topLatitude: 60 },
    });
    set(
      file,
      '-GPS:GPSLatitude=46.7512398',
      '-GPS:GPSLatitudeRef=N',
      '-GPS:GPSLongitude=9.84',
      '-GPS:GPSLongitudeRef=E',
    );
    const inspection = await inspectMaster(file);
    expect(inspection.coverage).toMatchObject({
      basis: 'metadata',
      top: 60,
      bottom: -60,
      left: -180,
      right: 180,
    });
    // 2 sin 60 / 2 of the sphere.
    expect(inspection.coverage.percent).toBeCloseTo(100 * Math.sin(Math.PI / 3), 9);
    expect(inspection.missing.solidAngle).toBeCloseTo(4 * Math.PI * (1 - Math.sin(Math.PI / 3)), 9);
    expect(inspection.poles).toEqual({});
    expect(claim(inspection, 'place')).toMatchObject({
      verdict: 'unproven',
      advice: expect.stringContaining('--strip-place'),
    });
    expect(JSON.stringify(inspection)).not.toMatch(/46\.7|9\.84/);
  });

  it('fills in a horizon from outside and advises levelling', async () => {
    const file = await save('lean.png', paint(256, 128, valley));
    const horizon = { rollDeg: 3.2, pitchDeg: -1, confidence: 0.9 };
    const inspection = await inspectMaster(file, { horizon: async () => horizon });
    expect(inspection.horizon).toEqual(horizon);
    expect(inspection.advice.join()).toMatch(/orbreel master level .* --auto --out FILE/);
    expect(describeInspection(inspection)).toContain(
      'horizon: roll 3.2°, pitch -1.0° (confidence 0.90)',
    );
  });
});

describe('video', () => {
  const movie = (name: string, size: string, ...args: string[]) => {
    run(
      'ffmpeg',
      '-y',
      '-f',
      'lavfi',
      '-i',
      `testsrc2=size=${size}:rate=10:duration=2`,
      '-pix_fmt',
      'yuv420p',
      ...args,
      at(name),
    );
    return at(name);
  };

  it('judges the boxes against the frames', async () => {
    const sphere = movie('sphere.mp4', '512x256');
    const plain = await inspectMaster(sphere);
    expect(plain).toMatchObject({ kind: 'video', width: 512, height: 256, frameAt: 0.2 });
    expect(claim(plain, 'spherical video V1')?.verdict).toBe('missing');
    expect(plain.advice.join()).toMatch(/Mark it rightly/);
    await markMaster({ input: sphere, overwrite: true });
    const marked = await inspectMaster(sphere);
    expect(claim(marked, 'spherical video V1')?.verdict).toBe('true');
    expect(claim(marked, 'spherical video V2')?.verdict).toBe('true');
  });

  it('judges the Projection element of WebM alike', async () => {
    const sphere = movie('sphere.webm', '512x256', '-c:v', 'libvpx');
    const plain = await inspectMaster(sphere);
    expect(claim(plain, 'Projection element')?.verdict).toBe('missing');
    expect(plain.advice.join()).toMatch(/Mark it rightly/);
    await markMaster({ input: sphere, overwrite: true });
    expect(claim(await inspectMaster(sphere), 'Projection element')?.verdict).toBe('true');
  });

  it('says first that a display matrix turns it on its side', async () => {
    const sphere = movie('turned.mp4', '512x256');
    run('exiftool', '-q', '-overwrite_original', '-Rotation=270', sphere);
    const inspection = await inspectMaster(sphere);
    expect(inspection).toMatchObject({
      ...{ width: 256, height: 512 },
      stored: { width: 512, height: 256 },
    });
    expect(inspection.advice[0]).toMatch(
      /^It is 512x256 that its display matrix turns on its side, to 256x512; if it stands upright as it is stored, take the turn out: ffmpeg .+, and go on with that\.$/u,
    );
    expect(inspection.advice.join()).not.toContain('orbreel master');
  });

  it('finds stale boxes on a flat video false', async () => {
    const { markSphericalVideo } = await import('../../../src/encode/spherical.js');
    const flat = movie('flat.mp4', '320x180');
    await markSphericalVideo(flat, { source: 'stale', overwrite: true });
    const inspection = await inspectMaster(flat);
    expect(claim(inspection, 'spherical video V2')).toMatchObject({
      verdict: 'false',
      found: '320x180',
      advice: expect.stringContaining('--flat'),
    });
  });
});

describe('all kinds of input', () => {
  it.each([
    ['grey.png', (p: Sharp) => p.toColourspace('b-w').png(), 1],
    ['palette.png', (p: Sharp) => p.png({ palette: true }), 3],
    ['cmyk.jpg', (p: Sharp) => p.toColourspace('cmyk').jpeg(), 4],
    ['deep.png', (p: Sharp) => p.toColourspace('rgb16').png(), 3],
    ['tiled.tif', (p: Sharp) => p.tiff({ tile: true, compression: 'lzw' }), 3],
    ['modern.avif', (p: Sharp) => p.avif(), 3],
    ['modern.webp', (p: Sharp) => p.webp({ lossless: true }), 3],
  ] as const)('looks over %s', async (name, make, channels) => {
    const inspection = await inspectMaster(await save(name, make(paint(768, 384, valley))));
    expect(inspection.channels).toBe(channels);
    expect(inspection.holes).toEqual([]);
    expect(inspection.poles.top?.isPoint).toBe(true);
    expect(inspection.depth).toBe(name === 'deep.png' ? 16 : 8);
  });

  it('names what is wrong with files that are none', async () => {
    const whole = readFileSync(await save('ok.jpg', paint(512, 256, valley).jpeg()));
    writeFileSync(at('cut.jpg'), whole.subarray(0, whole.length * 0.5));
    await expect(inspectMaster(at('cut.jpg'))).rejects.toThrow(
      /cut\.jpg: the picture is damaged or cut off/,
    );
    const modern = readFileSync(await save('ok.avif', paint(512, 256, valley).avif()));
    writeFileSync(at('cut.avif'), modern.subarray(0, modern.length * 0.5));
    await expect(inspectMaster(at('cut.avif'))).rejects.toThrow(
      /cut\.avif: the picture is damaged or cut off \(heif: .*end of file.*\); copy/i,
    );
    writeFileSync(at('empty.tif'), '');
    await expect(inspectMaster(at('empty.tif'))).rejects.toThrow(/empty \(0 bytes\)/);
    writeFileSync(at('words.jpg'), 'words, words, words');
    await expect(inspectMaster(at('words.jpg'))).rejects.toThrow(/expected a photo .* or video/);
    writeFileSync(at('head.png'), Buffer.from('89504e470d0a1a0a0000000d49484452', 'hex'));
    await expect(inspectMaster(at('head.png'))).rejects.toThrow(
      /head\.png: its PNG header cannot be read/,
    );
    await expect(inspectMaster(at('none.jpg'))).rejects.toThrow(/no such file/);
  });

  it('writes nothing beside the file', async () => {
    const before = readdirSync(folder);
    await inspectMaster(at('ok.jpg'));
    expect(readdirSync(folder)).toEqual(before);
  });
});
