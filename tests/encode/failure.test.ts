import { execFile, type SpawnOptions, spawn } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { describe, expect, it, vi } from 'vitest';
import { openClip } from '../../src/encode/clip.js';
import { diskError } from '../../src/encode/disk.js';
import { findFfmpeg } from '../../src/encode/ffmpeg.js';
import { InputError, WorkError } from '../../src/errors.js';
import { bars, fakeFfmpeg, ffmpeg, folder, listing, make, probe, wipe } from './support.js';

const open = (file: string, more = {}) =>
  openClip({
    file,
    width: 128,
    height: 64,
    fps: 30,
    overwrite: false,
    ffmpeg,
    quality: 'draft',
    ...more,
  });

const failureOf = (promise: Promise<unknown>): Promise<Error> =>
  promise.then(
    () => Promise.reject(new Error('nothing failed')),
    (error: Error) => error,
  );

/** Runs our code in a process of its own; its exit code. */
function script(place: string, code: string, options: SpawnOptions = {}): Promise<number | null> {
  const from = (name: string) =>
    JSON.stringify(new URL(`../../src/encode/${name}.ts`, import.meta.url).href);
  mkdirSync(join(place, 'script'));
  const file = join(place, 'script', 'main.mts');
  writeFileSync(
    file,
    `import { openClip } from ${from('clip')};
    import { findFfmpeg } from ${from('ffmpeg')};
    ${code}`,
  );
  const child = spawn(process.execPath, ['--import', 'tsx', file], {
    stdio: 'inherit',
    ...options,
  });
  return new Promise((resolve) => child.once('exit', resolve));
}

describe('before the first frame', () => {
  it('a file that is there stays, unless overwrite', async () => {
    const file = join(folder(), 'a.mp4');
    writeFileSync(file, 'mine');
    const error = await failureOf(make(file, 2));
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).toBe(
      `${file}: already exists: choose another name, or add --overwrite to replace it.`,
    );
    expect(readFileSync(file, 'utf8')).toBe('mine');
    await make(file, 2, { overwrite: true });
    expect(readFileSync(file).toString('latin1', 4, 8)).toBe('ftyp');
  });

  it('a folder that is not there is named', async () => {
    const file = join(folder(), 'none', 'a.mp4');
    const error = await failureOf(open(file));
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).toContain('none does not exist: make it first, or choose another.');
  });

  it('every problem comes at once', async () => {
    const error = (await failureOf(open('none/a.mp4', { width: 20001 }))) as InputError;
    expect(error.problems.map(({ message }) => message)).toEqual([
      'H.264 takes sides up to 16384 pixels, found 20001x64.',
      'H.264 takes even sides, found 20001x64.',
      'the folder none does not exist: make it first, or choose another.',
    ]);
  });

  it('an unknown ending names the known ones', async () => {
    const error = await failureOf(open('a.avi'));
    expect(error.message).toBe(
      "a.avi: a clip's name ends in one of .mp4, .mov, .webm, .gif, .webp, or names a folder (with / at its end) or a pattern like frames-%05d.png for single pictures, found .avi.",
    );
    expect((await failureOf(open('noend'))).message).toContain('found no extension.');
  });

  it('an encoder that this ffmpeg lacks gives those it has', async () => {
    const poor = {
      ...ffmpeg,
      path: 'poor',
      version: '1',
      encoders: new Set(['gif', 'libvpx-vp9']),
    };
    const error = await failureOf(open(join(folder(), 'a.mp4'), { ffmpeg: poor }));
    expect(error).toBeInstanceOf(WorkError);
    expect(error.message).toBe(
      '.mp4 needs H.264, and ffmpeg 1 (poor) was built without the encoder libx264. ' +
        'It can make .webm (vp9), .gif (gif) or single pictures; or name another ffmpeg with --ffmpeg.',
    );
  });

  it('what the disk refuses is said in a sentence', () => {
    const refusal = (code: string) => diskError(Object.assign(new Error('x'), { code }), 'a.mp4');
    expect(refusal('EROFS')).toBeInstanceOf(InputError);
    expect(refusal('EACCES').message).toBe(
      'a.mp4: cannot be written: the folder does not let you write there.',
    );
    expect(refusal('ENOSPC')).toBeInstanceOf(WorkError);
    expect(refusal('ENOSPC').message).toBe('a.mp4: cannot be written: the disk is full.');
  });

  it.runIf(process.platform === 'linux')(
    'a folder that nobody can write to is found at once',
    async () => {
      await expect(open('/proc/a.mp4')).rejects.toThrow(/^\/proc\/a\.mp4: cannot be written/);
    },
  );
});

describe('while writing', () => {
  it('a failing ffmpeg gives its last words and status, and nothing stays', async () => {
    const tools = folder();
    const place = folder();
    const fake = await fakeFfmpeg(
      tools,
      'for n in 1 2 3 4 5 6 7; do echo "word $n" >&2; done; echo "[libx264 @ 0x55d0c0] broken" >&2; exit 3',
    );
    const file = join(place, 'a.mp4');
    const error = await failureOf(make(file, 50, { ffmpeg: fake, width: 640, height: 360 }));
    expect(error).toBeInstanceOf(WorkError);
    expect(error.message).toBe(
      `ffmpeg ended with exit status 3 while making ${file}. Its last words:\n` +
        '  word 4\n  word 5\n  word 6\n  word 7\n  [libx264] broken',
    );
    expect(listing(place)).toEqual([]);
  });

  it('one that fails only at the end does so too', async () => {
    const place = folder();
    const fake = await fakeFfmpeg(folder(), 'cat > /dev/null; echo "late" >&2; exit 1');
    const error = await failureOf(make(join(place, 'a.mp4'), 2, { ffmpeg: fake }));
    expect(error.message).toContain('exit status 1');
    expect(error.message).toContain('  late');
    expect(listing(place)).toEqual([]);
  });

  it('one that is killed, and one that finds the disk full', async () => {
    const place = folder();
    const killed = await fakeFfmpeg(folder(), 'kill -9 $$');
    await expect(make(join(place, 'a.mp4'), 2, { ffmpeg: killed })).rejects.toThrow(
      'ffmpeg was ended by SIGKILL while making',
    );
    const full = await fakeFfmpeg(
      folder(),
      'echo "av_interleaved_write_frame(): No space left on device" >&2; exit 1',
    );
    await expect(make(join(place, 'a.mp4'), 2, { ffmpeg: full })).rejects.toThrow(
      'a.mp4: cannot be written: the disk is full.',
    );
    // As ffmpeg 5.1 does where only the index found no room: status 0, and no moov box in the file.
    const late = await fakeFfmpeg(
      folder(),
      'cat > /dev/null; echo "Error writing trailer of a.mp4: No space left on device" >&2; exit 0',
    );
    await expect(make(join(place, 'a.mp4'), 2, { ffmpeg: late })).rejects.toThrow(
      'a.mp4: cannot be written: the disk is full.',
    );
    expect(listing(place)).toEqual([]);
  });

  it.each(['a.mp4', 'a.gif', 'frames/', 'f-%05d.png'])(
    'abort leaves nothing of %s',
    async (name) => {
      const place = folder();
      const clip = await open(`${place}/${name}`);
      const frame = clip.pixelFormat === 'rgba' ? wipe(128, 64, 0) : bars(128, 64);
      for (let index = 0; index < 5; index++) await clip.write(frame);
      expect(listing(place)).not.toEqual([]);
      await clip.abort();
      await clip.abort();
      expect(listing(place)).toEqual([]);
    },
  );

  it('two that make the same file keep apart, and the one that is late keeps its hands off', async () => {
    const place = folder();
    const file = join(place, 'a.mp4');
    const [first, second] = [await open(file), await open(file)];
    for (const clip of [first, second]) await clip.write(bars(128, 64));
    await first.finish();
    const bytes = readFileSync(file);
    await expect(second.finish()).rejects.toThrow(
      `${file} appeared while it was being made: the one that is there was kept.`,
    );
    expect(readFileSync(file).equals(bytes)).toBe(true);
    expect(listing(place)).toEqual(['a.mp4']);
  });

  it('a frame of another size, and another number of frames, are mistakes', async () => {
    const place = folder();
    const clip = await open(join(place, 'a.mp4'), { frames: 2 });
    await expect(clip.write(new Uint8Array(5))).rejects.toThrow('has 12288 bytes, found 5.');
    await clip.write(bars(128, 64));
    await expect(clip.finish()).rejects.toThrow('should have 2 frames, found 1.');
    expect(listing(place)).toEqual([]);
  });

  it.each(['a.mp4', 'a.gif', 'frames/'])(
    'a process that ends in the middle of %s leaves nothing, nor an ffmpeg',
    async (name) => {
      const place = folder();
      const code = await script(
        place,
        `const clip = await openClip({ file: ${JSON.stringify(`${place}/${name}`)}, width: 128,
          height: 64, fps: 30, overwrite: false, ffmpeg: await findFfmpeg(), quality: 'draft' });
        await clip.write(new Uint8Array(clip.pixelFormat === 'rgba' ? 32768 : 12288));
        process.exit(7);`,
      );
      expect(code).toBe(7);
      expect(listing(place)).toEqual(['script']);
      const { stdout } = await promisify(execFile)('ps', ['-eo', 'stat,args']);
      const alive = stdout
        .split('\n')
        .filter((line) => line.includes(place) && !line.startsWith('Z'));
      expect(alive).toEqual([]);
    },
  );
});

describe.skipIf(process.platform === 'win32')('Ctrl-C in the terminal', () => {
  it('reaches us and not ffmpeg, so that we choose how to end', async () => {
    const place = folder();
    const file = join(place, 'a.mp4');
    const child = script(
      place,
      `process.on('SIGINT', () => {});
      const clip = await openClip({ file: ${JSON.stringify(file)}, width: 128, height: 64,
        fps: 30, overwrite: false, ffmpeg: await findFfmpeg(), quality: 'draft' });
      await clip.write(new Uint8Array(12288));
      // What a terminal does: the signal goes to the whole group in the foreground.
      process.kill(-process.pid, 'SIGINT');
      await new Promise((resolve) => setTimeout(resolve, 200));
      await clip.write(new Uint8Array(12288));
      await clip.finish();`,
      { detached: true },
    );
    expect(await child).toBe(0);
    expect(probe(file).nb_read_frames).toBe('2');
  });
});

describe('findFfmpeg', () => {
  it('says which of the names given is no ffmpeg', async () => {
    const error = await failureOf(findFfmpeg('/nowhere/ffmpeg'));
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).toBe(
      '--ffmpeg: /nowhere/ffmpeg: no working ffmpeg: there is no such program.',
    );
    expect((await failureOf(findFfmpeg(process.execPath))).message).toMatch(
      /^--ffmpeg: .*: no working ffmpeg: /,
    );
  });

  it('takes FFMPEG_BIN before PATH', async () => {
    const fake = await fakeFfmpeg(folder(), 'exit 1');
    process.env.FFMPEG_BIN = fake.path;
    try {
      expect((await findFfmpeg()).version).toBe('0-fake');
    } finally {
      delete process.env.FFMPEG_BIN;
    }
  });

  it('says what to install where there is none', async () => {
    const path = process.env.PATH;
    process.env.PATH = folder();
    try {
      // A module of its own: ours has already found an ffmpeg.
      vi.resetModules();
      const fresh = await import('../../src/encode/ffmpeg.js');
      const error = await failureOf(fresh.findFfmpeg());
      expect(error.name).toBe('WorkError');
      for (const words of [
        'ffmpeg was not found.',
        'apt-get install ffmpeg',
        'brew install ffmpeg',
        'winget install ffmpeg',
      ]) {
        expect(error.message).toContain(words);
      }
    } finally {
      process.env.PATH = path;
    }
  });
});
