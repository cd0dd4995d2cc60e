import { copyFileSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { crc32 } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { child, containerBox, leafBox } from '../../../src/encode/spherical/boxes.js';
import { headAt } from '../../../src/encode/spherical/ebml.js';
import { editMovie } from '../../../src/encode/spherical/movie.js';
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

/** Key, type, size of a value and values, as the General Purpose Metadata Format has them, padded to four bytes. */
function keyed(key: string, type: string, size: number, data: Buffer): Buffer {
  const head = Buffer.alloc(8);
  head.write(key + type, 'latin1');
  head[5] = size;
  head.writeUInt16BE(data.length / size, 6);
  return Buffer.concat([head, data]);
}

const longs = (...values: number[]): Buffer => {
  const bytes = Buffer.alloc(4 * values.length);
  for (const [index, value] of values.entries()) bytes.writeInt32BE(value, 4 * index);
  return bytes;
};

/** A chunk of a PNG (PNG specification, section 5.3). */
function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length);
  out.set(body, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}

describe('texts of a PNG', () => {
  it('go where their keyword tells a place that no program has in its tables; the rest of it stays', async () => {
    const file = at('texts.png');
    const picture = await paint(256, 128, valley).png().toBuffer();
    const gamma = Buffer.alloc(4);
    gamma.writeUInt32BE(45_455);
    const told = [`GPSLatitude\0${LATITUDE}`, 'Location\0Kestrelmere', 'Author\0A. Miller'];
    const texts = told.map((text) => chunk('tEXt', Buffer.from(text, 'latin1')));
    const added = [chunk('gAMA', gamma), ...texts];
    // Behind the signature and the header.
    writeFileSync(file, Buffer.concat([picture.subarray(0, 33), ...added, picture.subarray(33)]));
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    expect(result.place).toMatchObject({
      removed: ['PNG:GPSLatitude', 'PNG:Location'],
      remaining: [],
    });
    const bytes = readFileSync(file);
    for (const word of [LATITUDE, 'Kestrelmere', 'Location'])
      expect(bytes.includes(word)).toBe(false);
    expect(exifTags(file)).toMatchObject({
      'PNG:Author': 'A. Miller',
      'PNG:Gamma': 2.2,
      'XMP-GPano:ProjectionType': 'equirectangular',
    });
  });
});

describe("a maker's own segment of a JPEG", () => {
  it('goes as a whole where it tells the place, also from a file that is marked already', async () => {
    const scale = keyed('SCAL', 'l', 4, longs(1e7, 1e7, 1000, 1000, 100));
    const fix = keyed('GPS5', 'l', 20, longs(467_512_398, 98_412_376, 1_834_000, 0, 0));
    const stream = keyed('STRM', '\0', 1, Buffer.concat([scale, fix]));
    const name = Buffer.from('476f50726f00', 'hex');
    const body = Buffer.concat([name, keyed('DEVC', '\0', 1, stream)]);
    const head = Buffer.from([0xff, 0xe6, 0, body.length + 2]);
    const file = at('segment.jpg');
    const picture = await paint(256, 128, valley).jpeg().toBuffer();
    writeFileSync(file, Buffer.concat([picture.subarray(0, 2), head, body, picture.subarray(2)]));
    await markMaster({ input: file, overwrite: true });
    expect(telling(file).length).toBeGreaterThan(2);
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    expect(result.place?.removed).toHaveLength(5);
    expect(result.place?.remaining).toEqual([]);
    expect(telling(file)).toEqual([]);
    expect(readFileSync(file).includes(name)).toBe(false);
  });
});

describe('what cannot be vouched for', () => {
  it('tells of subtitles, in which cameras log flights', async () => {
    writeFileSync(at('log.srt'), '1\n00:00:00,000 --> 00:00:01,000\nH 6.00m\n');
    const source = ['-y', '-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=1'];
    const made = [
      ...source,
      '-i',
      at('log.srt'),
      '-map',
      '0:v',
      '-map',
      '1',
      '-pix_fmt',
      'yuv420p',
    ];
    for (const [file, codec] of [
      ['log.mp4', 'mov_text'],
      ['log.mkv', 'srt'],
    ] as const) {
      run('ffmpeg', ...made, '-c:s', codec, at(file));
      const result = await markMaster({ input: at(file), overwrite: true, stripPlace: true });
      expect(describeMark(result)).toContain('The movie has subtitles, in which some cameras log');
    }
  });

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

describe("removing the place from a video track's own texts", () => {
  const POINT = `+${LATITUDE}+00${LONGITUDE}+1834/`;
  const numbers = (...list: (readonly [value: number, bytes: number])[]) =>
    Buffer.concat(
      list.map(([value, bytes]) => {
        const number = Buffer.alloc(bytes);
        number.writeIntBE(value, 0, bytes);
        return number;
      }),
    );
  /** QuickTime File Format Specification, "User data text strings and language codes": length, language, text. */
  const text = (type: string, words: string) =>
    leafBox(type, numbers([words.length, 2], [0x15c7, 2]), Buffer.from(words));
  const fixed = (value: number) => [Math.round(value * 65536), 4] as const;
  /** Language, name, role, longitude, latitude, altitude, body, notes (3GPP TS 26.244, clause 8, from memory; ExifTool and ffprobe read it so). */
  const loci = leafBox(
    'loci',
    Buffer.alloc(4),
    numbers([0x15c7, 2]),
    Buffer.from('Kestrelmere\0\0'),
    numbers(fixed(Number(LONGITUDE)), fixed(Number(LATITUDE)), fixed(1834)),
    Buffer.from('earth\0\0'),
  );
  const KEYS = ['com.apple.quicktime.location.ISO6709', 'com.example.title'];
  /** The same, "Metadata": a handler, the keys' names, and items that are numbered like them. */
  const keyed = (start: Buffer) => {
    const key = (name: string) => [numbers([name.length + 8, 4]), Buffer.from(`mdta${name}`)];
    const item = (words: string, index: number) =>
      containerBox(numbers([index + 1, 4]).toString('latin1'), [
        leafBox('data', numbers([1, 4], [0, 4]), Buffer.from(words)),
      ]);
    return {
      ...containerBox('meta', [
        leafBox('hdlr', Buffer.alloc(8), Buffer.from('mdta'), Buffer.alloc(13)),
        leafBox('keys', numbers([0, 4], [KEYS.length, 4]), ...KEYS.flatMap(key)),
        containerBox('ilst', [POINT, 'Kept'].map(item)),
      ]),
      body: start,
    };
  };
  const udta = containerBox('udta', [text('\xa9xyz', POINT), loci, text('\xa9nam', 'Balloons')]);

  it.each([
    ['mp4', 'texts', udta],
    ['mov', 'texts', udta],
    ['mp4', 'texts of its media', udta],
    ['mp4', 'keys', keyed(Buffer.alloc(0))],
    ['mov', 'keys', keyed(Buffer.alloc(0))],
    ['mp4', 'keys among its texts', containerBox('udta', [keyed(Buffer.alloc(4))])],
  ])('of an %s: its %s, and nothing else', async (extension, kind, box) => {
    const [plain, file, output] = ['plain', 'told', 'clean'].map((name) =>
      at(`track-${kind}-${name}.${extension}`),
    ) as [string, string, string];
    const source = ['-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=1'];
    run('ffmpeg', '-y', ...source, '-c:v', 'libx264', '-pix_fmt', 'yuv420p', plain);
    const movie = await editMovie(plain, (moov) => {
      const trak = moov.children?.find(({ type }) => type === 'trak');
      // ffprobe reads texts deeper within a track, too, of which ExifTool says nothing.
      const deep = kind === 'texts of its media' ? ['mdia', 'minf'] : [];
      child(trak, ...deep)?.children?.push(box);
    });
    await movie.write(file);
    const told = (of: string) => JSON.stringify(exifTags(of, '-ee'));
    const probed = (of: string) =>
      run('ffprobe', '-v', 'warning', '-show_format', '-show_streams', '-of', 'json', of);
    expect(readFileSync(file).includes(LATITUDE)).toBe(true);
    expect(told(file) + probed(file)).toContain(LATITUDE.slice(0, 6));

    const result = await markMaster({ input: file, output, stripPlace: true });
    expect(result.place?.remaining).toEqual([]);
    expect(result.place?.removed).toEqual(
      kind.startsWith('texts')
        ? ['Track1:xyz', 'Track1:loci']
        : ['Track1:com.apple.quicktime.location.ISO6709'],
    );
    const bytes = readFileSync(output);
    for (const word of [LATITUDE.slice(0, 5), 'Kestrelmere']) {
      expect(bytes.includes(word), word).toBe(false);
      expect(told(output)).not.toContain(word);
      expect(probed(output)).not.toContain(word);
    }
    expect(bytes.includes(kind.startsWith('texts') ? 'Balloons' : 'Kept')).toBe(true);
    if (kind.startsWith('texts'))
      expect(JSON.parse(probed(output)).format.tags.title).toBe('Balloons');
    else expect(told(output)).toContain('Kept');
    const sums = (of: string) =>
      run('ffmpeg', '-v', 'error', '-i', of, '-map', '0:v', '-f', 'framemd5', '-');
    expect(sums(output)).toBe(sums(plain));
    const again = await markMaster({ input: output, overwrite: true, stripPlace: true });
    expect(again.changed).toBe(false);
    expect(readFileSync(output).equals(bytes)).toBe(true);
  });
});

/** Where the last element of that id begins: the file's index of elements, in front, names it too. */
const placeOf = (bytes: Buffer, id: string) => bytes.lastIndexOf(Buffer.from(id, 'hex'));

describe('removing the place from Matroska and WebM', () => {
  const POINT = `+${LATITUDE}+00${LONGITUDE}/`;
  const told = ['-metadata', 'title=Balloons', '-metadata', 'artist=A. Miller'];
  const place = [
    `location=${POINT}`,
    `location-eng=${POINT}`,
    'RECORDING_LOCATION=Kestrelmere, Vallonia',
    `com.example.where=${POINT}`,
  ].flatMap((tag) => ['-metadata', tag]);
  const source = ['-y', '-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=1'];
  const streamed = ['-metadata:s:v:0', `LATITUDE=${LATITUDE}`];
  const sums = (of: string) =>
    run('ffmpeg', '-v', 'error', '-i', of, '-map', '0:v', '-f', 'framemd5', '-');

  async function expectClean(file: string): Promise<void> {
    const before = readFileSync(file);
    for (const word of [LATITUDE, 'Kestrelmere']) expect(before.includes(word), word).toBe(true);
    const output = at(`clean-${basename(file)}`);
    const result = await markMaster({ input: file, output, stripPlace: true });
    const bytes = readFileSync(output);
    for (const word of [LATITUDE.slice(0, 6), 'Kestrelmere', 'Vallonia', 'track.gpx', 'LATITUDE'])
      expect(bytes.includes(word), word).toBe(false);
    expect(result.place?.remaining).toEqual([]);
    expect(result.place?.removed).toEqual(
      expect.arrayContaining([
        'Matroska:LOCATION',
        'Matroska:RECORDING_LOCATION',
        'Matroska:COM.EXAMPLE.WHERE',
        'Matroska:LATITUDE',
      ]),
    );
    expect(describeMark(result)).not.toMatch(/Kestrelmere|46\.7/);
    const about = JSON.parse(
      run('ffprobe', '-v', 'error', '-show_format', '-show_streams', '-of', 'json', output),
    );
    expect(about.format.tags).toMatchObject({ title: 'Balloons' });
    expect(bytes.includes('A. Miller')).toBe(true);
    expect(JSON.stringify(about)).not.toMatch(/"location|latitude|recording/i);
    expect(sums(output)).toBe(sums(file));
    const again = await markMaster({ input: output, overwrite: true, stripPlace: true });
    expect(again.changed).toBe(false);
    expect(readFileSync(output).equals(bytes)).toBe(true);
  }

  it('takes it out of tags and attached logs, and tells of what else is attached', async () => {
    writeFileSync(at('track.gpx'), `<trkpt lat="${LATITUDE}">Kestrelmere</trkpt>`);
    writeFileSync(at('notes.txt'), 'Balloons rise at dawn.');
    const attach = (file: string, type: string, n: number) => [
      ...['-attach', at(file)],
      ...[`-metadata:s:t:${n}`, `mimetype=${type}`],
    ];
    const attached = [
      ...attach('track.gpx', 'application/gpx+xml', 0),
      ...attach('notes.txt', 'text/plain', 1),
    ];
    run(
      'ffmpeg',
      ...source,
      '-c:v',
      'libx264',
      ...told,
      ...place,
      ...streamed,
      ...attached,
      at('place.mkv'),
    );
    await expectClean(at('place.mkv'));
    const result = await markMaster({
      input: at('place.mkv'),
      output: at('said.mkv'),
      stripPlace: true,
    });
    expect(result.place?.removed).toContain('Matroska:AttachedFile (application/gpx+xml)');
    expect(describeMark(result)).toContain('Files are attached to it');
    expect(readFileSync(at('said.mkv')).includes('Balloons rise at dawn.')).toBe(true);
  });

  it('finds tags behind the pictures, and in a recording whose clusters end nobody knows where', async () => {
    run('ffmpeg', ...source, '-c:v', 'libvpx', ...told, ...place, ...streamed, at('front.webm'));
    const bytes = readFileSync(at('front.webm'));
    const tags = placeOf(bytes, '1254c367');
    const clusters = placeOf(bytes, '1f43b675');
    const head = headAt(bytes, tags)!;
    const end = tags + head.idLength + head.sizeLength + head.size!;
    expect(end).toBeLessThanOrEqual(clusters);
    const behind = [bytes.subarray(0, tags), bytes.subarray(end), bytes.subarray(tags, end)];
    writeFileSync(at('behind.webm'), Buffer.concat(behind));
    await expectClean(at('behind.webm'));
    const live = Buffer.concat(behind);
    const cluster = placeOf(live, '1f43b675');
    const { idLength, sizeLength } = headAt(live, cluster)!;
    // All ones: it ends nobody knows where.
    live[cluster + idLength] = 2 ** (9 - sizeLength) - 1;
    live.fill(0xff, cluster + idLength + 1, cluster + idLength + sizeLength);
    expect(headAt(live, cluster)).toMatchObject({ size: undefined });
    writeFileSync(at('live.webm'), live);
    await expectClean(at('live.webm'));
  });
});

describe("a movie's own keys", () => {
  it('go where they tell the place, and those that are known stay', async () => {
    const file = at('keys.mp4');
    const tags = [`LATITUDE=${LATITUDE}`, 'title=Balloons'].flatMap((tag) => ['-metadata', tag]);
    const source = ['-y', '-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=1'];
    run(
      'ffmpeg',
      ...source,
      '-pix_fmt',
      'yuv420p',
      ...tags,
      '-movflags',
      'use_metadata_tags',
      file,
    );
    set(file, '-Keys:Make=Windmill');
    expect(readFileSync(file).includes(LATITUDE)).toBe(true);
    const result = await markMaster({ input: file, overwrite: true, stripPlace: true });
    expect(result.place).toMatchObject({ removed: ['Keys:LATITUDE'], remaining: [] });
    expect(readFileSync(file).includes(LATITUDE)).toBe(false);
    expect(exifTags(file)).toMatchObject({ 'Keys:Make': 'Windmill', 'Keys:Title': 'Balloons' });
  });
});
