import { copyFileSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { bytesAfterJpeg } from '../../../src/master/mark/trailer.js';
import { describeMark, markMaster } from '../../../src/master/mark.js';
import { exifTags, makeFolder, paint, pixels, run, valley } from './pictures.js';

// Perl starts slowly on a busy machine.
vi.setConfig({ testTimeout: 120_000, hookTimeout: 120_000 });

const folder = makeFolder('place');
const at = (name: string) => join(folder, name);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const set = (file: string, ...args: string[]) =>
  run('exiftool', '-q', '-n', '-overwrite_original', ...args, file);

/** An invented place, in digits that are looked for in the bytes afterwards. */
const LATITUDE = '46.7512398';
const LONGITUDE = '9.8412376';

const PLACE = [
  `-GPS:GPSLatitude=${LATITUDE}`,
  '-GPS:GPSLatitudeRef=N',
  `-GPS:GPSLongitude=${LONGITUDE}`,
  '-GPS:GPSLongitudeRef=E',
  '-GPS:GPSAltitude=1834',
  '-GPS:GPSTimeStamp=03:41:00',
  `-XMP-exif:GPSLatitude=${LATITUDE}`,
  `-XMP-exif:GPSLongitude=${LONGITUDE}`,
  '-XMP-photoshop:City=Kestrelmere',
  '-XMP-photoshop:Country=Vallonia',
  '-XMP-iptcCore:Location=Kestrelmere mill',
  '-XMP-iptcExt:LocationShownCity=Kestrelmere',
  '-XMP-iptcExt:LocationCreatedCountryName=Vallonia',
];
const IPTC = [
  '-IPTC:City=Kestrelmere',
  '-IPTC:Sub-location=Kestrelmere mill',
  '-IPTC:Province-State=Overdale',
  '-IPTC:Country-PrimaryLocationName=Vallonia',
  '-IPTC:ContentLocationName=Kestrelmere',
];
const KEPT = [
  '-IFD0:Make=Windmill',
  '-ExifIFD:DateTimeOriginal=2026:05:01 05:41:00',
  '-XMP-dc:Creator=A. Miller',
  '-ExifIFD:SubjectLocation=100 200',
];

const telling = (file: string) =>
  Object.keys(exifTags(file, '-ee')).filter((key) =>
    /GPS|Latitude|Longitude|Altitude|:(?:City|Country|State|Province|Sub-location|Location|Content)/.test(
      key,
    ),
  );

describe.each(['jpg', 'tif', 'png', 'webp', 'avif'])(
  'removing the place from a %s',
  (extension) => {
    const file = at(`place.${extension}`);

    beforeAll(async () => {
      const picture = paint(256, 128, valley);
      await (extension === 'tif' ? picture.tiff({ compression: 'lzw' }) : picture).toFile(file);
      const iptc = ['jpg', 'tif'].includes(extension) ? IPTC : [];
      set(file, ...PLACE, ...iptc, ...KEPT);
    });

    it('leaves no tag and no byte of it, and keeps all else', async () => {
      expect(telling(file).length).toBeGreaterThan(8);
      const output = at(`clean.${extension}`);
      const result = await markMaster({ input: file, output, stripPlace: true });
      expect(telling(output)).toEqual([]);
      const bytes = readFileSync(output);
      for (const word of [
        'Kestrelmere',
        'Vallonia',
        'Overdale',
        LATITUDE.slice(0, 6),
        '46,45.07',
      ]) {
        expect(bytes.includes(word), word).toBe(false);
      }
      expect(exifTags(output)).toMatchObject({
        'IFD0:Make': 'Windmill',
        'ExifIFD:DateTimeOriginal': '2026:05:01 05:41:00',
        'XMP-dc:Creator': 'A. Miller',
        'ExifIFD:SubjectLocation': '100 200',
        'XMP-GPano:ProjectionType': 'equirectangular',
      });
      expect((await pixels(output)).equals(await pixels(file))).toBe(true);
      expect(result.place?.remaining).toEqual([]);
      expect(result.place?.removed).toEqual(
        expect.arrayContaining([
          'GPS:GPSLatitude',
          'XMP-exif:GPSLongitude',
          'XMP-photoshop:City',
          'XMP-iptcExt:LocationShown',
        ]),
      );
      expect(describeMark(result)).not.toContain('Kestrelmere');
    });

    it('changes nothing the second time, and asks for it where it was not asked', async () => {
      const output = at(`clean.${extension}`);
      const before = readFileSync(output);
      const again = await markMaster({ input: output, overwrite: true, stripPlace: true });
      expect(again.changed).toBe(false);
      expect(readFileSync(output).equals(before)).toBe(true);
      const unasked = await markMaster({ input: file, output: at(`unasked.${extension}`) });
      expect(unasked.notes.join()).toMatch(/tell where it was taken: --strip-place/);
      expect(telling(at(`unasked.${extension}`))).toEqual(telling(file));
    });
  },
);

/** A JPEG whose XMP holds a maker's own namespace that no program has in its tables. */
async function withUnknownNamespace(
  name: string,
  namespace: string,
  prefix: string,
): Promise<string> {
  const file = at(name);
  await paint(256, 128, valley).jpeg().toFile(file);
  const packet = `<x:xmpmeta xmlns:x='adobe:ns:meta/'><rdf:RDF xmlns:rdf='http://www.w3.org/1999/02/22-rdf-syntax-ns#'>
<rdf:Description rdf:about='' xmlns:${prefix}='${namespace}' xmlns:dc='http://purl.org/dc/elements/1.1/'
 ${prefix}:GpsLatitude='+${LATITUDE}' ${prefix}:GpsLongitude='+${LONGITUDE}' ${prefix}:AbsoluteAltitude='+1834.20' ${prefix}:FlightYawDegree='+12.30'>
<dc:creator><rdf:Seq><rdf:li>A. Miller</rdf:li></rdf:Seq></dc:creator></rdf:Description></rdf:RDF></x:xmpmeta>`;
  writeFileSync(at('packet.xmp'), packet);
  run('exiftool', '-q', '-overwrite_original', `-XMP<=${at('packet.xmp')}`, file);
  return file;
}

describe("places in makers' own fields", () => {
  it('removes them from a namespace that nobody knows', async () => {
    const namespace = 'http://ns.example.org/balloon/1.0/';
    const file = await withUnknownNamespace('balloon.jpg', namespace, 'balloon');
    expect(readFileSync(file).includes(LATITUDE)).toBe(true);
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    expect(result.place?.remaining).toEqual([]);
    expect(result.place?.removed.length).toBe(3);
    expect(readFileSync(file).includes(LATITUDE)).toBe(false);
    expect(exifTags(file)['XMP-dc:Creator']).toBe('A. Miller');
  });
});

describe('what cannot be vouched for', () => {
  it('names the words of people, and never says the place', async () => {
    const file = at('words.jpg');
    await paint(256, 128, valley).jpeg().toFile(file);
    set(file, '-XMP-dc:Title=Kestrelmere at dawn', '-IFD0:ImageDescription=Kestrelmere');
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    const said = describeMark(result);
    expect(said).toMatch(/Words that a person wrote may name the place: .*IFD0:ImageDescription/);
    expect(said).toMatch(/XMP-dc:Title/);
    expect(said).toContain('The picture itself may show where it was taken');
    expect(said).not.toContain('Kestrelmere');
  });
});

describe('bytes behind the picture', () => {
  it.each([false, true])('are told of, progressive: %s', async (progressive) => {
    const file = at(`trailer-${progressive}.jpg`);
    await paint(256, 128, valley).jpeg({ progressive, quality: 98 }).toFile(file);
    expect(await bytesAfterJpeg(file)).toBe(0);
    const preview = readFileSync(file);
    writeFileSync(file, Buffer.concat([preview, preview]));
    expect(await bytesAfterJpeg(file)).toBe(preview.length);
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    expect(describeMark(result)).toMatch(
      new RegExp(`${preview.length} bytes follow the picture's end`),
    );
    expect(readFileSync(file).subarray(-preview.length).equals(preview)).toBe(true);
  });
});

describe('removing the place from a video', () => {
  it.each(['mp4', 'mov'])(
    'takes it out of every block of an %s and keeps the frames',
    async (extension) => {
      const file = at(`place.${extension}`);
      const source = ['-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=1'];
      run(
        'ffmpeg',
        '-y',
        ...source,
        '-c:v',
        'libx264',
        '-pix_fmt',
        'yuv420p',
        '-metadata',
        `location=+${LATITUDE}+00${LONGITUDE}/`,
        file,
      );
      set(
        file,
        `-Keys:GPSCoordinates=${LATITUDE} ${LONGITUDE} 1834`,
        `-ItemList:GPSCoordinates=${LATITUDE} ${LONGITUDE} 1834`,
        `-UserData:GPSCoordinates=${LATITUDE} ${LONGITUDE} 1834`,
        '-XMP-photoshop:City=Kestrelmere',
        '-Keys:Make=Windmill',
      );
      expect(telling(file).length).toBeGreaterThan(2);
      const output = at(`clean.${extension}`);
      const result = await markMaster({ input: file, output, stripPlace: true });
      expect(telling(output)).toEqual([]);
      expect(result.place?.remaining).toEqual([]);
      const bytes = readFileSync(output);
      for (const word of ['Kestrelmere', '46.75', '+46'])
        expect(bytes.includes(word), word).toBe(false);
      expect(exifTags(output)['Keys:Make']).toBe('Windmill');
      const sums = (of: string) =>
        run('ffmpeg', '-v', 'error', '-i', of, '-map', '0:v', '-f', 'framemd5', '-');
      expect(sums(output)).toBe(sums(file));
      const again = await markMaster({ input: output, overwrite: true, stripPlace: true });
      expect(again.changed).toBe(false);
      copyFileSync(output, at(`again.${extension}`));
    },
  );
});
