import {
  copyFileSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { describeMark, markMaster } from '../../../src/master/mark.js';
import { exifTags, makeFolder, paint, pixels, run, valley } from './pictures.js';

// Fields and their types: Google, "Photo Sphere XMP Metadata" (open specification).

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const folder = makeFolder('mark');
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const set = (file: string, ...args: string[]) =>
  run('exiftool', '-q', '-n', '-overwrite_original', ...args, file);

const FORMATS = ['jpg', 'png', 'webp', 'tif', 'avif'] as const;

const NINE = {
  ProjectionType: 'equirectangular',
  UsePanoramaViewer: 'True',
  CroppedAreaImageWidthPixels: '512',
  CroppedAreaImageHeightPixels: '256',
  FullPanoWidthPixels: '512',
  FullPanoHeightPixels: '256',
  CroppedAreaLeftPixels: '0',
  CroppedAreaTopPixels: '0',
  PoseHeadingDegrees: '171.5',
};

/** GPano properties of a raw XMP packet, whether written as elements or as attributes. */
function packetFields(xmp: string): Record<string, string> {
  const prefix = /xmlns:(\w+)=['"]http:\/\/ns\.google\.com\/photos\/1\.0\/panorama\/['"]/.exec(
    xmp,
  )?.[1];
  const element = new RegExp(`<${prefix}:(\\w+)>([^<]*)</${prefix}:\\1>`, 'g');
  const attribute = new RegExp(`\\s${prefix}:(\\w+)=['"]([^'"]*)['"]`, 'g');
  const found = [...xmp.matchAll(element), ...xmp.matchAll(attribute)];
  return Object.fromEntries(found.map(([, name = '', value = '']) => [name, value]));
}

/** As a camera leaves it: EXIF by ExifTool, because sharp's TIFFs have none. */
async function makePicture(name: string): Promise<void> {
  const picture = paint(512, 256, valley).withIccProfile('p3');
  await (name.endsWith('.tif') ? picture.tiff({ compression: 'lzw' }) : picture).toFile(at(name));
  set(
    at(name),
    '-IFD0:Make=Windmill',
    '-IFD0:Model=Balloon 3',
    '-ExifIFD:DateTimeOriginal=2026:05:01 05:41:00',
    '-ExifIFD:OffsetTimeOriginal=+02:00',
  );
}

beforeAll(async () => {
  await Promise.all(FORMATS.map((extension) => makePicture(`plain.${extension}`)));
});

describe.each(FORMATS)('marking a %s', (extension) => {
  const input = at(`plain.${extension}`);
  const output = at(`marked.${extension}`);

  it('writes the nine fields, as the raw packet shows', async () => {
    const result = await markMaster({ input, output, heading: 171.5 });
    expect(result).toMatchObject({ file: output, kind: 'photo', changed: true, notes: [] });
    const { xmp } = await sharp(output).metadata();
    expect(packetFields(xmp?.toString('utf8') ?? '')).toEqual(NINE);
  });

  it('is read by ExifTool, and by exiv2 where that knows the format', () => {
    const { 'ExifTool:Warning': warning, ...tags } = exifTags(output);
    expect(warning).toBeUndefined();
    for (const [name, value] of Object.entries(NINE)) {
      expect(String(tags[`XMP-GPano:${name}`]).toLowerCase()).toBe(value.toLowerCase());
    }
    if (extension === 'avif') return;
    const printed = run('exiv2', '-PXkv', output);
    for (const [name, value] of Object.entries(NINE)) {
      expect(printed).toMatch(new RegExp(`Xmp\\.GPano\\.${name}\\s+${value}\\n`));
    }
  });

  it("keeps the pixels, the profile, the camera's EXIF and the capture time", async () => {
    expect((await pixels(output)).equals(await pixels(input))).toBe(true);
    const [before, after] = [await sharp(input).metadata(), await sharp(output).metadata()];
    expect(after.icc).toBeDefined();
    expect(after.icc?.equals(before.icc ?? Buffer.alloc(0))).toBe(true);
    const kept = (file: string) =>
      Object.entries(exifTags(file)).filter(
        ([key]) => /^(?:IFD0|ExifIFD|ICC)/.test(key) && !/Offsets?$|Start$/.test(key),
      );
    expect(kept(output)).toEqual(kept(input));
    expect(exifTags(output)).toMatchObject({
      'IFD0:Make': 'Windmill',
      'ExifIFD:DateTimeOriginal': '2026:05:01 05:41:00',
      'ExifIFD:OffsetTimeOriginal': '+02:00',
    });
  });

  it('changes nothing the second time', async () => {
    const before = readFileSync(output);
    const again = await markMaster({ input: output, overwrite: true });
    expect(again).toMatchObject({ changed: false, changes: [] });
    expect(describeMark(again)).toContain('nothing to change');
    expect(readFileSync(output).equals(before)).toBe(true);
  });
});

describe('bytes of a JPEG', () => {
  it('has one XMP segment that starts with its namespace, and keeps the coded picture', async () => {
    const [before, after] = [at('plain.jpg'), at('marked.jpg')].map((file) => readFileSync(file));
    const header = Buffer.from('http://ns.adobe.com/xap/1.0/\0', 'latin1');
    expect(header.length).toBe(29);
    const place = after?.indexOf(header) ?? -1;
    expect(after?.readUInt16BE(place - 4)).toBe(0xffe1);
    expect(after?.readUInt16BE(place - 2)).toBeLessThanOrEqual(65502 + 2 + 29);
    expect(after?.indexOf(header, place + 1)).toBe(-1);
    const scan = (bytes?: Buffer) => bytes?.subarray(bytes.indexOf(Buffer.from('ffda', 'hex')));
    expect(scan(after)?.equals(scan(before) ?? Buffer.alloc(0))).toBe(true);
  });
});

describe('16 bits', () => {
  it.each(['png', 'tif'])('keeps every bit of a %s', async (extension) => {
    const input = at(`deep.${extension}`);
    const deep = paint(64, 32, valley).toColourspace('rgb16').linear(1, 77);
    await (extension === 'tif' ? deep.tiff({ compression: 'lzw' }) : deep).toFile(input);
    expect((await sharp(input).metadata()).depth).toBe('ushort');
    await markMaster({ input, output: at(`deep-marked.${extension}`) });
    expect((await pixels(at(`deep-marked.${extension}`))).equals(await pixels(input))).toBe(true);
  });
});

const fresh = (name: string, from = 'plain.jpg') => {
  copyFileSync(at(from), at(name));
  return at(name);
};
const gpano = (file: string) =>
  Object.fromEntries(
    Object.entries(exifTags(file, '-XMP-GPano:all'))
      .filter(([key]) => key.startsWith('XMP-GPano:'))
      .map(([key, value]) => [key.slice(10), value]),
  );

describe('claims that are there already', () => {
  it('replaces false ones and keeps right ones', async () => {
    const file = fresh('false.jpg');
    set(
      file,
      '-XMP-GPano:ProjectionType=cylindrical',
      '-XMP-GPano:FullPanoWidthPixels=9999',
      '-XMP-GPano:PoseHeadingDegrees=725',
      '-XMP-GPano:PosePitchDegrees=1.25',
      '-XMP-GPano:SourcePhotosCount=26',
      '-XMP-GPano:StitchingSoftware=Mill',
      '-XMP-dc:Creator=A. Miller',
    );
    const result = await markMaster({ input: file, overwrite: true });
    expect(gpano(file)).toMatchObject({
      ProjectionType: 'equirectangular',
      FullPanoWidthPixels: 512,
      PoseHeadingDegrees: 0,
      PosePitchDegrees: 1.25,
      SourcePhotosCount: 26,
      StitchingSoftware: 'Mill',
    });
    expect(exifTags(file)['XMP-dc:Creator']).toBe('A. Miller');
    expect(result.changes).toContainEqual({
      field: 'ProjectionType',
      from: 'cylindrical',
      to: 'equirectangular',
    });
    expect(result.changes).toContainEqual({
      field: 'FullPanoWidthPixels',
      from: '9999',
      to: '512',
    });
  });

  it('keeps a right partial crop: the published example of 3228x1614 in 6366x3183', async () => {
    // Source: chris.orr.me.uk, a real partial photo sphere's fields.
    const file = at('partial.png');
    await sharp({ create: { width: 3228, height: 1614, channels: 3, background: '#468' } })
      .png()
      .toFile(file);
    const place = { full: { width: 6366, height: 3183 }, left: 1535, top: 1265 };
    await markMaster({ input: file, overwrite: true, place, heading: 171 });
    const fields = {
      CroppedAreaImageWidthPixels: 3228,
      CroppedAreaImageHeightPixels: 1614,
      FullPanoWidthPixels: 6366,
      FullPanoHeightPixels: 3183,
      CroppedAreaLeftPixels: 1535,
      CroppedAreaTopPixels: 1265,
      PoseHeadingDegrees: 171,
    };
    expect(gpano(file)).toMatchObject(fields);
    const again = await markMaster({ input: file, overwrite: true });
    expect(again.changed).toBe(false);
    expect(gpano(file)).toMatchObject(fields);
  });

  it('scales the crop of a picture that was made smaller since', async () => {
    const file = at('smaller.png');
    await sharp({ create: { width: 1614, height: 807, channels: 3, background: '#468' } })
      .png()
      .toFile(file);
    set(
      file,
      '-XMP-GPano:CroppedAreaImageWidthPixels=3228',
      '-XMP-GPano:CroppedAreaImageHeightPixels=1614',
      '-XMP-GPano:FullPanoWidthPixels=6366',
      '-XMP-GPano:FullPanoHeightPixels=3183',
      '-XMP-GPano:CroppedAreaLeftPixels=1535',
      '-XMP-GPano:CroppedAreaTopPixels=1265',
    );
    await markMaster({ input: file, overwrite: true });
    expect(gpano(file)).toMatchObject({
      CroppedAreaImageWidthPixels: 1614,
      CroppedAreaImageHeightPixels: 807,
      FullPanoWidthPixels: 3184,
      FullPanoHeightPixels: 1592,
      CroppedAreaLeftPixels: 768,
      CroppedAreaTopPixels: 633,
    });
  });

  it('joins two packets that contradict each other', async () => {
    const segment = (file: string): Buffer => {
      const bytes = readFileSync(file);
      const start = bytes.indexOf('http://ns.adobe.com/xap/1.0/') - 4;
      return bytes.subarray(start, start + 2 + bytes.readUInt16BE(start + 2));
    };
    const other = fresh('other.jpg');
    set(other, '-XMP-GPano:FullPanoWidthPixels=77', '-XMP-dc:Creator=A. Miller');
    const file = fresh('twice.jpg');
    set(file, '-XMP-GPano:FullPanoWidthPixels=99');
    const bytes = readFileSync(file);
    writeFileSync(file, Buffer.concat([bytes.subarray(0, 2), segment(other), bytes.subarray(2)]));
    expect(run('exiv2', '-PXkv', other)).toContain('77');
    const before = await pixels(file);
    await markMaster({ input: file, overwrite: true });
    expect(run('exiftool', '-a', '-s3', '-XMP-GPano:FullPanoWidthPixels', file).trim()).toBe('512');
    expect(run('exiv2', '-PXkv', file)).toMatch(/Xmp\.GPano\.FullPanoWidthPixels\s+512\n/);
    expect(exifTags(file)['XMP-dc:Creator']).toBe('A. Miller');
    expect((await pixels(file)).equals(before)).toBe(true);
  });

  it('keeps XMP that is larger than one segment', async () => {
    const file = fresh('long.jpg');
    writeFileSync(at('long.txt'), 'balloon '.repeat(20_000));
    set(file, `-XMP-dc:Description<=${at('long.txt')}`);
    await markMaster({ input: file, overwrite: true });
    expect(run('exiftool', '-b', '-XMP-dc:Description', file).length).toBe(160_000);
    expect(gpano(file)).toMatchObject({ FullPanoWidthPixels: 512 });
    expect((await markMaster({ input: file, overwrite: true })).changed).toBe(false);
  });

  it('moves a PNG\u2019s XMP before the pixels, where every reader looks', async () => {
    const file = fresh('late.png', 'plain.png');
    set(file, '-XMP-GPano:FullPanoWidthPixels=99');
    const early = readFileSync(file);
    const start = early.indexOf('iTXtXML:com.adobe.xmp') - 4;
    const end = start + 12 + early.readUInt32BE(start);
    const parts = [early.subarray(0, start), early.subarray(end, -12), early.subarray(start, end)];
    writeFileSync(file, Buffer.concat([...parts, early.subarray(-12)]));
    const order = () => {
      const bytes = readFileSync(file);
      return [bytes.indexOf('XML:com.adobe.xmp'), bytes.indexOf('IDAT')] as const;
    };
    expect(order()[0]).toBeGreaterThan(order()[1]);
    await markMaster({ input: file, overwrite: true });
    expect(order()[0]).toBeLessThan(order()[1]);
    expect(readFileSync(file).toString('latin1').split('XML:com.adobe.xmp').length).toBe(2);
  });

  it('removes every claim from a flat picture', async () => {
    const file = at('square.png');
    // Seen in the wild: a square picture whose XMP says equirectangular and nothing else.
    await paint(1024, 1024, valley).png().toFile(file);
    set(file, '-XMP-GPano:ProjectionType=equirectangular');
    const before = await pixels(file);
    await expect(markMaster({ input: file, overwrite: true })).rejects.toThrow(
      /expected a whole sphere, twice as wide as high, found 1024x1024[\s\S]*orbreel master mark .*square\.png --full WxH --at X,Y --overwrite\n[\s\S]*--across DEG --top DEG --overwrite[\s\S]*two eyes of one sphere, one above the other: cut[\s\S]*--flat --overwrite/,
    );
    const result = await markMaster({ input: file, overwrite: true, flat: true });
    expect(result.changes).toEqual([
      { field: 'ProjectionType', from: 'equirectangular', to: undefined },
    ]);
    expect(gpano(file)).toEqual({});
    expect((await pixels(file)).equals(before)).toBe(true);
    expect((await markMaster({ input: file, overwrite: true, flat: true })).changed).toBe(false);
  });
});

describe('what the user says', () => {
  it('writes pose, first view and program', async () => {
    const output = at('said.jpg');
    const view = { heading: 90.4, pitch: -5, roll: 0, fov: 75.5 };
    await markMaster({
      input: at('plain.jpg'),
      output,
      heading: 12.5,
      pitch: -3.25,
      roll: 180,
      view,
      software: 'Mill & <Söhne>',
    });
    expect(gpano(output)).toMatchObject({
      PoseHeadingDegrees: 12.5,
      PosePitchDegrees: -3.25,
      PoseRollDegrees: 180,
      InitialViewHeadingDegrees: 90,
      InitialViewPitchDegrees: -5,
      InitialViewRollDegrees: 0,
      InitialHorizontalFOVDegrees: 75.5,
      StitchingSoftware: 'Mill & <Söhne>',
    });
  });

  it('refuses angles out of range, all at once, and a crop that does not fit', async () => {
    const input = at('plain.jpg');
    const output = at('never.jpg');
    await expect(
      markMaster({
        input,
        output,
        heading: 360,
        pitch: -91,
        roll: -180,
        view: { pitch: Number.NaN },
      }),
    ).rejects.toThrow(
      /heading: expected from 0 to below 360 degrees, found 360\npitch: .*found -91\nroll: expected above -180 to 180 degrees, found -180\nview\.pitch: .*found NaN/,
    );
    const placed = (width: number, height: number) =>
      markMaster({ input, output, place: { full: { width, height }, left: 100, top: 60 } });
    await expect(placed(600, 310)).rejects.toThrow(
      /plain\.jpg: .*twice as wide as high.*found 600x310, left 100, top 60/,
    );
    await expect(placed(600, 300)).rejects.toThrow(
      /plain\.jpg: expected the 512x256 picture to lie within the 600x300 sphere, found it at left 100, top 60, which ends at column 612, row 316/,
    );
    expect(readdirSync(folder)).not.toContain('never.jpg');
  });

  it('says that an unknown heading is written as 0', async () => {
    const result = await markMaster({ input: at('plain.jpg'), output: at('north.jpg') });
    expect(result.notes.join()).toMatch(/heading is written as 0 because nothing tells it/);
  });
});

describe('bad input', () => {
  const bad = async (name: string, bytes: Buffer | string) => {
    writeFileSync(at(name), bytes);
    return markMaster({ input: at(name), overwrite: true });
  };

  it.each(['jpg', 'png', 'webp', 'tif', 'avif'])(
    'refuses a cut-off %s and leaves it as it is',
    async (extension) => {
      const whole = readFileSync(at(`plain.${extension}`));
      const part = whole.subarray(0, Math.floor(whole.length * 0.6));
      await expect(bad(`cut.${extension}`, part)).rejects.toThrow(
        /cut\.\w+: (?:the picture is damaged or cut off|its \w+ header cannot be read)/,
      );
      expect(readFileSync(at(`cut.${extension}`)).equals(part)).toBe(true);
    },
  );

  it('names what is wrong with other files', async () => {
    await expect(bad('empty.jpg', '')).rejects.toThrow(/empty\.jpg: the file is empty \(0 bytes\)/);
    await expect(bad('words.jpg', 'just some words, and more of them')).rejects.toThrow(
      /expected a photo .* or video/,
    );
    await expect(bad('really-a.png', readFileSync(at('plain.jpg')))).rejects.toThrow(
      /its content is JPEG; rename it to end in \.jpg/,
    );
    await expect(markMaster({ input: at('absent.jpg'), overwrite: true })).rejects.toThrow(
      /there is no such file/,
    );
    await expect(markMaster({ input: folder, overwrite: true })).rejects.toThrow(/found a folder/);
  });

  it('does not believe a header that claims 100000x50000 pixels', async () => {
    const bytes = await sharp({ create: { width: 8, height: 4, channels: 3, background: '#123' } })
      .png()
      .toBuffer();
    bytes.writeUInt32BE(100_000, 16);
    bytes.writeUInt32BE(50_000, 20);
    const { crc32 } = await import('node:zlib');
    if (crc32 !== undefined) bytes.writeUInt32BE(crc32(bytes.subarray(12, 29)), 29);
    await expect(bad('huge.png', bytes)).rejects.toThrow(
      /huge\.png: its header claims 100000x50000 pixels \(5,000 MP\)/,
    );
  });

  it('says so where the metadata themselves are damaged, and leaves the file as it is', async () => {
    const whole = readFileSync(at('marked.jpg')).toString('latin1');
    const torn = whole.replace('</GPano:ProjectionType>', '</GPano:ProjectionTyp!>');
    const broken = Buffer.from(torn, 'latin1');
    await expect(bad('broken-xmp.jpg', broken)).rejects.toThrow(
      /broken-xmp\.jpg: its metadata cannot be written \(XMP format error .*\); export it again/,
    );
    expect(readFileSync(at('broken-xmp.jpg')).equals(broken)).toBe(true);
  });

  it('refuses animations', async () => {
    const frames = ['#123', '#456'].map((background) => ({
      create: { width: 64, height: 32, channels: 3 as const, background },
    }));
    const images = await Promise.all(frames.map((frame) => sharp(frame).png().toBuffer()));
    await sharp(images, { join: { animated: true } })
      .webp()
      .toFile(at('moving.webp'));
    await expect(markMaster({ input: at('moving.webp'), overwrite: true })).rejects.toThrow(
      /found an animation of 2 frames/,
    );
    await sharp(images, { join: { animated: true } })
      .gif()
      .toFile(at('moving.gif'));
    await expect(markMaster({ input: at('moving.gif'), overwrite: true })).rejects.toThrow(
      /GIF has no place/,
    );
    run(
      'ffmpeg',
      '-f',
      'lavfi',
      '-i',
      'testsrc2=size=64x32:rate=2:duration=2',
      '-f',
      'apng',
      at('apng.png'),
    );
    await expect(markMaster({ input: at('apng.png'), overwrite: true })).rejects.toThrow(
      /found an animation of 4 frames/,
    );
  });

  it.each([
    ['grey', (p: Sharp) => p.greyscale().png(), 'png'],
    ['palette', (p: Sharp) => p.png({ palette: true, colours: 16 }), 'png'],
    ['cmyk', (p: Sharp) => p.toColourspace('cmyk').jpeg(), 'jpg'],
    ['tiled', (p: Sharp) => p.tiff({ tile: true, compression: 'deflate' }), 'tif'],
  ] as const)('marks a %s picture without touching its pixels', async (name, make, extension) => {
    const input = at(`${name}.${extension}`);
    await make(paint(256, 128, valley)).toFile(input);
    const output = at(`${name}-marked.${extension}`);
    const { notes } = await markMaster({ input, output });
    expect((await pixels(output)).equals(await pixels(input))).toBe(true);
    expect(gpano(output)).toMatchObject({ FullPanoWidthPixels: 256 });
    expect(notes.some((note) => note.includes('CMYK'))).toBe(name === 'cmyk');
  });

  it.each(["50% of %f & 'the' mill, é.jpg", '-q.jpg', '#a$b;c.jpg'])(
    'takes the name %s as it is',
    async (name) => {
      const input = fresh(name);
      const output = at(`out ${name}`);
      await markMaster({ input, output });
      expect(gpano(output)).toMatchObject({ FullPanoWidthPixels: 512 });
      await markMaster({ input, overwrite: true });
      expect(readFileSync(input).equals(readFileSync(output))).toBe(true);
    },
  );

  it('overwrites nothing unasked and leaves nothing half-written', async () => {
    const before = readFileSync(at('plain.png'));
    await expect(markMaster({ input: at('plain.png') })).rejects.toThrow(
      /already exists: .*--overwrite/,
    );
    copyFileSync(at('plain.jpg'), at('there.jpg'));
    await expect(markMaster({ input: at('plain.jpg'), output: at('there.jpg') })).rejects.toThrow(
      /already exists/,
    );
    await expect(markMaster({ input: at('plain.jpg'), output: at('new.png') })).rejects.toThrow(
      /new\.png: expected an ending of JPEG, which it stays \(\.jpg, .*\), found "\.png"\.$/,
    );
    await expect(
      markMaster({ input: at('plain.jpg'), output: at('no/such/folder.jpg') }),
    ).rejects.toThrow(/folder .* does not exist/);
    expect(readFileSync(at('plain.png')).equals(before)).toBe(true);
    expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
  });
});

describe.skipIf(process.platform === 'win32')('a master behind a link', () => {
  it('is marked where it lies, and the link stays', async () => {
    mkdirSync(at('far'));
    await paint(512, 256, valley).jpeg().toFile(at('far/real.jpg'));
    symlinkSync('far/real.jpg', at('link.jpg'));
    await markMaster({ input: at('link.jpg'), overwrite: true });
    expect(readlinkSync(at('link.jpg'))).toBe('far/real.jpg');
    expect(exifTags(at('far/real.jpg'))['XMP-GPano:ProjectionType']).toBe('equirectangular');
    expect(readdirSync(at('far'))).toEqual(['real.jpg']);
  });
});
