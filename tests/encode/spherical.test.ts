import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { serialiseBox } from '../../src/encode/spherical/boxes.js';
import { st3dBox, sv3dBox, v1Box } from '../../src/encode/spherical/bytes.js';
import { markSphericalVideo, readSpherical, stripSpherical } from '../../src/encode/spherical.js';

// Check values: google/spatial-media, docs/spherical-video-rfc.md (V1) and -v2-rfc.md (V2).

let folder: string;
const at = (name: string) => join(folder, name);
const run = (program: string, ...args: string[]) =>
  execFileSync(program, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] });

function makeMovie(name: string, ...args: string[]): string {
  const source = ['-f', 'lavfi', '-i', 'testsrc2=size=256x128:rate=10:duration=2'];
  const sound = ['-f', 'lavfi', '-i', 'sine=duration=2', '-c:a', 'aac', '-shortest'];
  run(
    'ffmpeg',
    '-y',
    ...source,
    ...sound,
    '-pix_fmt',
    'yuv420p',
    '-c:v',
    'libx264',
    ...args,
    at(name),
  );
  return at(name);
}

/** One checksum a frame, of decoded pictures and sound. */
const frameSums = (file: string) =>
  run('ffmpeg', '-v', 'error', '-i', file, '-map', '0', '-f', 'framemd5', '-').replace(
    /^#.*\n/gm,
    '',
  );

const topTypes = (file: string): string[] => {
  const bytes = readFileSync(file);
  const types: string[] = [];
  for (let i = 0; i < bytes.length; i += bytes.readUInt32BE(i)) {
    types.push(bytes.toString('latin1', i + 4, i + 8));
  }
  return types;
};

const sideData = (file: string) =>
  JSON.parse(
    run(
      'ffprobe',
      '-v',
      'error',
      '-select_streams',
      'v',
      '-show_entries',
      'stream_side_data_list',
      '-of',
      'json',
      file,
    ),
  ).streams[0].side_data_list;

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'orbreel-spherical-'));
  makeMovie('front.mp4', '-movflags', '+faststart');
  makeMovie('back.mp4');
  makeMovie('front.mov', '-movflags', '+faststart');
  makeMovie('fragments.mp4', '-movflags', '+frag_keyframe+empty_moov', '-g', '5');
  makeMovie('shaped.mp4', '-movflags', '+faststart', '-vf', 'setsar=2/1');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the boxes as bytes', () => {
  const bounds = { top: 0.125, bottom: 0, left: 0, right: 0 };
  const sv3d = serialiseBox(sv3dBox({ source: 'test', yaw: 30, pitch: -10, roll: 0, bounds }));

  it('writes sv3d as the V2 document lays it out', () => {
    expect(sv3d.length).toBe(85);
    expect(sv3d.toString('hex')).toBe(
      [
        '00000055',
        '73763364', // sv3d, 85 bytes
        '00000011',
        '73766864',
        '00000000',
        '7465737400', // svhd: "test", NUL
        '0000003c',
        '70726f6a', // proj
        '00000018',
        '70726864',
        '00000000',
        '001e0000',
        'fff60000',
        '00000000', // prhd: 16.16 degrees
        '0000001c',
        '65717569',
        '00000000',
        '20000000',
        '00000000',
        '00000000',
        '00000000', // equi: 0.32
      ].join(''),
    );
  });

  it.each([
    ['mono', '00'],
    ['top-bottom', '01'],
    ['left-right', '02'],
    ['right-left', '04'],
  ] as const)('writes st3d %s', (mode, byte) => {
    expect(serialiseBox(st3dBox(mode)).toString('hex')).toBe(
      `0000000d73743364${'00000000'}${byte}`,
    );
  });

  it('writes V1 as a uuid box of 24 bytes and the XML, its text escaped', () => {
    const box = serialiseBox(v1Box({ StitchingSoftware: 'A & <B>' }));
    const xml = box.toString('utf8', 24);
    expect(box.readUInt32BE(0)).toBe(24 + Buffer.byteLength(xml));
    expect(box.subarray(4, 24).toString('hex')).toBe('75756964ffcc8263f8554a938814587a02521fdd');
    expect(xml).toContain(
      '<GSpherical:StitchingSoftware>A &amp; &lt;B&gt;</GSpherical:StitchingSoftware>',
    );
    expect(xml).toContain('xmlns:GSpherical="http://ns.google.com/videos/1.0/spherical/"');
  });
});

describe.each(['front.mp4', 'back.mp4', 'front.mov', 'fragments.mp4', 'shaped.mp4'])(
  'marking %s',
  (name) => {
    const options = { source: 'Orbreel test', yaw: 30, pitch: -10, roll: 5 };

    it('is read back by itself, by ffprobe and by ExifTool, and decodes as before', async () => {
      const out = at(`marked-${name}`);
      const result = await markSphericalVideo(at(name), { ...options, out });
      expect(result).toEqual({ file: out, changed: true });
      const [track] = await readSpherical(out);
      expect(track).toMatchObject({ width: 256, height: 128, codec: 'avc1' });
      expect(track?.v1?.fields).toEqual({
        Spherical: 'true',
        Stitched: 'true',
        StitchingSoftware: 'Orbreel test',
        ProjectionType: 'equirectangular',
      });
      expect(track?.v2).toEqual({
        stereo: 'mono',
        source: 'Orbreel test',
        yaw: 30,
        pitch: -10,
        roll: 5,
        projection: 'equirectangular',
        bounds: { top: 0, bottom: 0, left: 0, right: 0 },
      });
      expect(sideData(out)).toContainEqual(
        expect.objectContaining({
          side_data_type: 'Spherical Mapping',
          projection: 'equirectangular',
          yaw: 30,
          pitch: -10,
          roll: 5,
        }),
      );
      const tags = JSON.parse(run('exiftool', '-json', '-G1', '-n', out))[0];
      expect(tags).toMatchObject({
        'XMP-GSpherical:Spherical': true,
        'XMP-GSpherical:ProjectionType': 'equirectangular',
        'XMP-GSpherical:StitchingSoftware': 'Orbreel test',
      });
      expect(tags.Warning ?? tags['ExifTool:Warning']).toBeUndefined();
      expect(topTypes(out)).toEqual(topTypes(at(name)));
      expect(frameSums(out)).toBe(frameSums(at(name)));
    });

    it('changes nothing when marked again, and strips back to the same bytes', async () => {
      const out = at(`marked-${name}`);
      const before = readFileSync(out);
      const again = await markSphericalVideo(out, { ...options, overwrite: true });
      expect(again.changed).toBe(false);
      expect(readFileSync(out).equals(before)).toBe(true);
      const plain = at(`plain-${name}`);
      await stripSpherical(out, { out: plain });
      expect(readFileSync(plain).equals(readFileSync(at(name)))).toBe(true);
    });

    it('seeks into the middle as before', () => {
      const seek = (file: string) =>
        run(
          'ffmpeg',
          '-v',
          'error',
          '-ss',
          '1.2',
          '-i',
          file,
          '-frames:v',
          '1',
          '-f',
          'framemd5',
          '-',
        );
      expect(seek(at(`marked-${name}`))).toBe(seek(at(name)));
    });
  },
);

describe('places within the file', () => {
  it('puts st3d and sv3d before pasp', async () => {
    const bytes = readFileSync(at('marked-shaped.mp4'));
    const places = ['avcC', 'st3d', 'sv3d', 'pasp'].map((type) => bytes.indexOf(type, 0, 'latin1'));
    expect(places.every((place) => place > 0)).toBe(true);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  it('widens chunk offsets that would pass 4 GiB', async () => {
    const original = readFileSync(at('front.mp4'));
    const far = Buffer.from(original);
    for (let i = far.indexOf('stco'); i > 0; i = far.indexOf('stco', i + 4)) {
      const count = far.readUInt32BE(i + 8);
      for (let k = 0; k < count; k += 1) far.writeUInt32BE(0xffffff00 + k, i + 12 + 4 * k);
    }
    writeFileSync(at('far.mp4'), far);
    await markSphericalVideo(at('far.mp4'), { source: 'x', out: at('far-marked.mp4') });
    const marked = readFileSync(at('far-marked.mp4'));
    const growth = marked.length - far.length;
    const table = marked.indexOf('co64');
    expect(table).toBeGreaterThan(0);
    expect(marked.indexOf('stco')).toBe(-1);
    expect(marked.readBigUInt64BE(table + 12)).toBe(BigInt(0xffffff00 + growth));
  });

  it('writes the bounds of a partial sphere into V2 only', async () => {
    const bounds = { top: 0.25, bottom: 0.125, left: 0, right: 0 };
    await markSphericalVideo(at('front.mp4'), { source: 'x', bounds, out: at('partial.mp4') });
    const [track] = await readSpherical(at('partial.mp4'));
    expect(track?.v2?.bounds).toEqual(bounds);
    expect(track?.v1).toBeUndefined();
  });
});

describe('stale claims', () => {
  it('replaces what another program claimed', async () => {
    const first = at('stale.mp4');
    await markSphericalVideo(at('front.mp4'), {
      source: 'old',
      yaw: 90,
      stereo: 'top-bottom',
      out: first,
    });
    expect(sideData(first)).toContainEqual(expect.objectContaining({ type: 'top and bottom' }));
    await markSphericalVideo(first, { source: 'new', overwrite: true });
    const [track] = await readSpherical(first);
    expect(track?.v2).toMatchObject({ source: 'new', yaw: 0, stereo: 'mono' });
    expect(track?.v1?.fields).toMatchObject({ StitchingSoftware: 'new' });
    expect(readFileSync(first).indexOf('old</')).toBe(-1);
  });

  it('says that an unmarked movie claims nothing', async () => {
    expect(await readSpherical(at('front.mp4'))).toEqual([
      { width: 256, height: 128, codec: 'avc1' },
    ]);
  });
});

describe('bad input', () => {
  const cut = (name: string, bytes: number, from = 'front.mp4') => {
    writeFileSync(at(name), readFileSync(at(from)).subarray(0, bytes));
    return at(name);
  };

  it('names what is wrong with a file that is no whole movie', async () => {
    const whole = statSync(at('front.mp4')).size;
    await expect(readSpherical(cut('cut.mp4', whole - 100))).rejects.toThrow(
      /cut\.mp4: the movie is cut off: box mdat lacks its last 100 bytes/,
    );
    await expect(readSpherical(cut('head.mp4', 32))).rejects.toThrow(/no header \(no moov box\)/);
    writeFileSync(at('text.mp4'), 'not a movie at all, just words');
    await expect(readSpherical(at('text.mp4'))).rejects.toThrow(/expected an MP4 or MOV movie/);
    writeFileSync(at('empty.mp4'), '');
    await expect(readSpherical(at('empty.mp4'))).rejects.toThrow(/no header/);
  });

  it('refuses values out of range, all at once', async () => {
    const bounds = { top: 0.6, bottom: 0.5, left: 0, right: 0 };
    await expect(
      markSphericalVideo(at('front.mp4'), { source: 'x', yaw: 200, pitch: Number.NaN, bounds }),
    ).rejects.toThrow(/yaw: expected -180 to 180 degrees, found 200\npitch: .*NaN\nbounds: /);
  });

  it('overwrites nothing unasked and leaves nothing half-written', async () => {
    const before = readFileSync(at('back.mp4'));
    await expect(markSphericalVideo(at('back.mp4'), { source: 'x' })).rejects.toThrow(
      /--overwrite/,
    );
    await expect(
      markSphericalVideo(at('front.mp4'), { source: 'x', out: at('back.mp4') }),
    ).rejects.toThrow(/already exists: choose another name/);
    expect(readFileSync(at('back.mp4')).equals(before)).toBe(true);
    expect(readdirSync(folder).filter((name) => name.startsWith('.'))).toEqual([]);
  });

  it('refuses a movie without pictures', async () => {
    run('ffmpeg', '-f', 'lavfi', '-i', 'sine=duration=1', '-c:a', 'aac', at('sound.m4a'));
    await expect(
      markSphericalVideo(at('sound.m4a'), { source: 'x', overwrite: true }),
    ).rejects.toThrow(/expected a video track, found none/);
  });
});
