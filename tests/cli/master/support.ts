import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { deflateSync } from 'node:zlib';
import sharp from 'sharp';
import { paint, valley } from '../../master/mark/pictures.js';

export const WIDTH = 512;
export const HEIGHT = 256;

/** Sets metadata, as a camera would have. */
export function tag(file: string, ...edits: string[]): void {
  execFileSync('exiftool', ['-q', '-overwrite_original', ...edits, file]);
}

/** The tag's value as ExifTool, run by itself, reads it; undefined when there is none. */
export function tagOf(file: string, name: string): unknown {
  const words = ['-json', '-n', '-G1', `-${name}`, file];
  const [tags] = JSON.parse(execFileSync('exiftool', words, { encoding: 'utf8' }));
  return Object.entries(tags as object).find(([key]) => key !== 'SourceFile')?.[1];
}

export const CAMERA = [
  '-Make=Aerostat Works',
  '-Model=Balloon 360',
  '-DateTimeOriginal=2026:05:01 06:10:00',
  '-GPSLatitude=46.5',
  '-GPSLatitudeRef=N',
  '-GPSLongitude=8.25',
  '-GPSLongitudeRef=E',
];

/** GPano's crop fields for a picture of WIDTH times `rows`, whose first row is the sphere's row `top`. */
export const crop = (rows: number, top: number): string[] => [
  '-XMP-GPano:ProjectionType=equirectangular',
  `-XMP-GPano:FullPanoWidthPixels=${WIDTH}`,
  `-XMP-GPano:FullPanoHeightPixels=${HEIGHT}`,
  `-XMP-GPano:CroppedAreaImageWidthPixels=${WIDTH}`,
  `-XMP-GPano:CroppedAreaImageHeightPixels=${rows}`,
  '-XMP-GPano:CroppedAreaLeftPixels=0',
  `-XMP-GPano:CroppedAreaTopPixels=${top}`,
];

let sphere: Promise<Buffer> | undefined;

/** RGB of the valley, WIDTH x HEIGHT. */
export function spherePixels(): Promise<Buffer> {
  sphere ??= paint(WIDTH, HEIGHT, valley).raw().toBuffer();
  return sphere;
}

export const asPicture = (data: Buffer, width = WIDTH) =>
  sharp(data, { raw: { width, height: data.length / width / 3, channels: 3 } });

/** Rows of the valley from `top`, as a picture of its own. */
export const rowsOfSphere = async (top: number, rows: number) =>
  asPicture((await spherePixels()).subarray(top * WIDTH * 3, (top + rows) * WIDTH * 3));

export const decoded = (file: string): Promise<Buffer> => sharp(file).raw().toBuffer();

/** Pictures of every kind that is no master, each by its name in `folder`. */
export async function badPictures(at: (name: string) => string): Promise<void> {
  const whole = asPicture(await spherePixels());
  await whole.clone().jpeg().toFile(at('good.jpg'));
  const bytes = readFileSync(at('good.jpg'));
  writeFileSync(at('truncated.jpg'), bytes.subarray(0, bytes.length / 2));
  writeFileSync(at('header.jpg'), bytes.subarray(0, 20));
  writeFileSync(at('empty.jpg'), '');
  writeFileSync(at('locked.jpg'), bytes);
  symlinkSync('good.jpg', at('linked.jpg'));
  mkdirSync(at('folder.jpg'));
  await whole.clone().gif().toFile(at('still.gif'));
  await whole.clone().jpeg().toFile(at('turned.jpg'));
  tag(at('turned.jpg'), '-Orientation#=6');
  writeFileSync(at('words.jpg'), 'The lake lay still, and the windmill too.\n');
  writeFileSync(at('gigantic.png'), giganticPng());
  await whole.clone().png().toFile(at('named.jpg'));
  await whole.clone().toColourspace('cmyk').jpeg().toFile(at('cmyk.jpg'));
  await whole.clone().png({ palette: true }).toFile(at('palette.png'));
  await whole.clone().toColourspace('b-w').jpeg().toFile(at('grey.jpg'));
  await (await rowsOfSphere(0, 180)).jpeg().toFile(at('strip.jpg'));
  await (await rowsOfSphere(0, 180)).jpeg().toFile(at('placed.jpg'));
  tag(at('placed.jpg'), ...crop(180, 0));
  await whole.clone().jpeg().toFile(at('contradicting.jpg'));
  tag(at('contradicting.jpg'), ...crop(999, 400));
  const twice = Buffer.concat([await spherePixels(), Buffer.from(await spherePixels()).fill(9)]);
  const raw = { width: WIDTH, height: 2 * HEIGHT, channels: 3, pageHeight: HEIGHT } as const;
  const animation = sharp(twice, { raw });
  await animation
    .clone()
    .webp({ delay: [100, 100] })
    .toFile(at('animated.webp'));
  await animation
    .clone()
    .gif({ delay: [100, 100] })
    .toFile(at('animated.gif'));
  const source = 'testsrc=size=64x32:rate=5:duration=0.4';
  const words = ['-v', 'error', '-f', 'lavfi', '-i', source, '-pix_fmt', 'yuv420p'];
  execFileSync(process.env.FFMPEG_BIN ?? 'ffmpeg', [...words, at('clip.mp4')]);
  writeFileSync(at('video.jpg'), readFileSync(at('clip.mp4')));
}

/** A PNG whose header claims 200000x100000 pixels, and that has next to none. */
function giganticPng(): Buffer {
  const header = Buffer.alloc(13);
  header.writeUInt32BE(200_000, 0);
  header.writeUInt32BE(100_000, 4);
  header.set([8, 2, 0, 0, 0], 8);
  const data = deflateSync(Buffer.alloc(1000));
  const signature = Buffer.from('89504e470d0a1a0a', 'hex');
  return Buffer.concat([signature, chunk('IHDR', header), chunk('IDAT', data), chunk('IEND')]);
}

function chunk(type: string, data = Buffer.alloc(0)): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  const out = Buffer.alloc(body.length + 8);
  out.writeUInt32BE(data.length, 0);
  body.copy(out, 4);
  out.writeUInt32BE(crc32(body), body.length + 4);
  return out;
}

/** PNG specification, annex D. */
function crc32(bytes: Buffer): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}
