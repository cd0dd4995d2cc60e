import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  markProjection,
  readProjections,
  writeProjection,
} from '../../src/encode/spherical/matroska.js';

// Check values: RFC 9559 (Matroska), section 5.1.4.1.28.41 to .46, and RFC 8794 (EBML).

let folder: string;
const at = (name: string) => join(folder, name);
const run = (program: string, ...args: string[]) =>
  execFileSync(program, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });

const SOURCE = ['-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=3'];
const SOUND = ['-f', 'lavfi', '-i', 'sine=duration=3'];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-matroska-'));
  const webm = ['-c:v', 'libvpx-vp9', '-g', '5', '-c:a', 'libopus'];
  run('ffmpeg', '-y', ...SOURCE, ...SOUND, ...webm, at('plain.webm'));
  run('ffmpeg', '-y', '-i', at('plain.webm'), '-c', 'copy', at('plain.mkv'));
  run('ffmpeg', '-y', '-i', at('plain.webm'), '-c', 'copy', '-cues_to_front', '1', at('front.mkv'));
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const WHOLE = { top: 0, bottom: 0, left: 0, right: 0 };
const sphere = { yaw: 0, pitch: 0, roll: 0, stereo: 'mono', bounds: WHOLE } as const;

const sideData = (file: string) =>
  JSON.parse(
    run('ffprobe', '-v', 'error', '-select_streams', 'v', '-show_streams', '-of', 'json', file),
  ).streams[0].side_data_list;

/** One checksum a frame, of pictures and sound, from a moment on; damaged checksums in the file are errors. */
const frameSums = (file: string, from: number) =>
  run(
    'ffmpeg',
    ...['-v', 'error', '-err_detect', 'crccheck+explode', '-ss', String(from), '-i', file],
    ...['-map', '0', '-f', 'framemd5', '-'],
  ).replace(/^#.*\n/gm, '');

/** The bytes of the first element of that ID, head and all. */
function bytesOf(file: string, id: string): string {
  const bytes = readFileSync(file);
  const start = bytes.indexOf(Buffer.from(id, 'hex'));
  const size = bytes[start + id.length / 2]! & 0x7f;
  return bytes.toString('hex', start, start + id.length / 2 + 1 + size);
}

describe('the Projection element', () => {
  it.each(['plain.webm', 'plain.mkv', 'front.mkv'])(
    'goes into %s, which ffmpeg then reads as a sphere, every frame and moment as before',
    async (name) => {
      const out = at(`sphere-${name}`);
      expect(await markProjection(at(name), { out }, sphere)).toEqual({ changed: true });
      expect(sideData(out)).toEqual([
        expect.objectContaining({
          side_data_type: 'Spherical Mapping',
          projection: 'equirectangular',
        }),
      ]);
      expect(sideData(at(name))).toBeUndefined();
      for (const from of [0, 2.5]) expect(frameSums(out, from)).toBe(frameSums(at(name), from));
      expect(readFileSync(out).length).toBe(readFileSync(at(name)).length);
      expect(await readProjections(out)).toEqual([
        {
          width: 256,
          height: 128,
          codec: 'V_VP9',
          v2: {
            ...{ stereo: 'mono', source: '', yaw: 0, pitch: 0, roll: 0 },
            ...{ projection: 'equirectangular', bounds: WHOLE },
          },
        },
      ]);
    },
  );

  it('is laid out as RFC 9559 has it', async () => {
    const bounds = { ...WHOLE, top: 0.125 };
    const claim = { ...sphere, yaw: 30, pitch: -10, roll: 5, bounds };
    await markProjection(at('plain.webm'), { out: at('turned.webm') }, claim);
    expect(bytesOf(at('turned.webm'), '7670')).toBe(
      [
        '7670b0', // Projection, 48 bytes
        '76718101', // ProjectionType: 1, equirectangular
        '767294', // ProjectionPrivate: the content of an equi box, 20 bytes
        '00000000', // its version and flags
        '20000000', // top, a 0.32 fraction
        '000000000000000000000000',
        // Floats. Yaw is clockwise and roll counter-clockwise here; V2 has them the other way round.
        '767384c1f00000',
        '767484c1200000',
        '767584c0a00000',
      ].join(''),
    );
    const [track] = await readProjections(at('turned.webm'));
    expect(track?.v2).toMatchObject({ yaw: 30, pitch: -10, roll: 5, bounds });
    expect(sideData(at('turned.webm'))[0]).toMatchObject({ yaw: -30, pitch: -10, roll: -5 });
  });

  it('keeps the checksum of the element that it changes', async () => {
    await markProjection(at('plain.mkv'), { out: at('summed.mkv') }, sphere);
    const bytes = readFileSync(at('summed.mkv'));
    // The last one: the index at the start names it too.
    const start = bytes.lastIndexOf(Buffer.from('1654ae6b', 'hex'));
    const sizeLength = Math.clz32(bytes[start + 4]!) - 23;
    const size = bytes.readUIntBE(start + 4, sizeLength) - 2 ** (7 * sizeLength);
    const content = start + 4 + sizeLength;
    expect(bytes.toString('hex', content, content + 2)).toBe('bf84');
    expect(bytes.readUInt32LE(content + 2)).toBe(
      crc32(bytes.subarray(content + 6, content + size)),
    );
  });

  it('says how two eyes are packed, and no more when it goes', async () => {
    const out = at('eyes.webm');
    await markProjection(at('plain.webm'), { out }, { ...sphere, stereo: 'top-bottom' });
    expect(sideData(out)).toContainEqual(expect.objectContaining({ type: 'top and bottom' }));
    await markProjection(out, { overwrite: true }, sphere);
    expect(sideData(out)).toHaveLength(1);
  });

  it('changes nothing the second time, and leaves the very file when it is removed', async () => {
    const out = at('twice.webm');
    await markProjection(at('plain.webm'), { out }, sphere);
    const once = readFileSync(out);
    expect(await markProjection(out, { overwrite: true }, sphere)).toEqual({ changed: false });
    expect(await markProjection(out, { overwrite: true })).toEqual({ changed: true });
    expect(readFileSync(out).equals(readFileSync(at('plain.webm')))).toBe(true);
    expect(once.equals(readFileSync(out))).toBe(false);
    expect(await markProjection(out, { overwrite: true })).toEqual({ changed: false });
  });

  it('raises the version that the header names', async () => {
    const old = readFileSync(at('plain.webm'));
    const version = old.indexOf(Buffer.from('428781', 'hex')) + 3;
    old[version] = 2;
    writeFileSync(at('old.webm'), old);
    await writeProjection(at('old.webm'), 'old.webm', sphere);
    expect(readFileSync(at('old.webm'))[version]).toBe(4);
  });
});

/** As ffmpeg begins empty elements, with eight bytes for their size. */
const VOID = Buffer.from('ec010000000000', 'hex');

describe('bad Matroska', () => {
  it('needs room in the header', async () => {
    const full = readFileSync(at('plain.webm'));
    for (let room = full.indexOf(VOID); room >= 0; room = full.indexOf(VOID)) full[room] = 0xee;
    writeFileSync(at('full.webm'), full);
    await expect(markProjection(at('full.webm'), { overwrite: true }, sphere)).rejects.toThrow(
      /full\.webm: there is no room in its header .*ffmpeg -i IN -map 0 -c copy OUT/,
    );
    expect(readFileSync(at('full.webm')).equals(full)).toBe(true);
  });

  it('is told from what is none, is cut off or makes no sense', async () => {
    writeFileSync(at('words.webm'), 'words, no video');
    await expect(readProjections(at('words.webm'))).rejects.toThrow(/header is damaged/);
    writeFileSync(at('cut.webm'), readFileSync(at('plain.webm')).subarray(0, 200));
    await expect(readProjections(at('cut.webm'))).rejects.toThrow(/tracks are not described/);
    const torn = readFileSync(at('plain.webm'));
    const video = torn.indexOf(Buffer.from('b0820100ba8180', 'hex'));
    expect(video).toBeGreaterThan(0);
    torn[video + 1] = 0xff;
    writeFileSync(at('torn.webm'), torn);
    await expect(readProjections(at('torn.webm'))).rejects.toThrow(/torn\.webm: .*damaged/);
  });

  it('gets no impossible claim, and is not overwritten unasked', async () => {
    const file = at('plain.webm');
    await expect(
      markProjection(file, { out: at('x.webm') }, { ...sphere, yaw: 200 }),
    ).rejects.toThrow('yaw: expected -180 to 180 degrees, found 200');
    await expect(markProjection(file, {}, sphere)).rejects.toThrow(/--overwrite/);
    expect(readdirSync(folder).filter((name) => name.startsWith('.') || name === 'x.webm')).toEqual(
      [],
    );
  });
});
