import { mkdir, readdir, rename, unlink, writeFile } from 'node:fs/promises';
import { availableParallelism } from 'node:os';
import { join } from 'node:path';
import { WorkError } from '../errors.js';
import { diskError } from './disk.js';
import { frameName, framesIn, type Place, placeOf, type SequenceFiles } from './frames.js';
import { guarded } from './guard.js';
import { type ImageFormat, imageFormatOf, packImage } from './imageformats.js';
import { writtenTo } from './links.js';
import { PICTURE_CODECS } from './pictureCodecs.js';
import { exists, renameNew } from './target.js';
import { release, removeTemporary, temporaryBeside } from './temporary.js';
import type { ClipWriter } from './types.js';

const IN_FLIGHT = Math.min(4, availableParallelism() + 1);

/**
 * Frames as single pictures, packed here on several threads by the same code as stills: profile, bits and
 * errors are theirs. ffmpeg's PNG encoder is no reason to do otherwise: 64 ms a frame at its best setting
 * against 74 (1080x1920, 2 cores, one run on one made-up picture, files of the same size).
 */
export async function openSequence(sequence: SequenceFiles): Promise<ClipWriter> {
  const { file, width, height, alpha, overwrite, codec } = sequence;
  const depth = codec ? PICTURE_CODECS[codec].depth : 8;
  const named = await placeOf(file, codec);
  const place = { ...named, folder: await writtenTo(named.folder) };
  const format = imageFormatOf(place.pattern) as ImageFormat;
  const working = temporaryBeside(place.fresh ? place.folder : join(place.folder, 'frames'), '');
  await mkdir(working).catch((error: unknown) => {
    release(working);
    throw diskError(error, file);
  });

  let count = 0;
  let failure: unknown;
  const inFlight = new Set<Promise<void>>();

  async function put(rgba: Uint8Array, number: number): Promise<void> {
    try {
      const bytes = await packImage(format, {
        rgba,
        depth,
        width,
        height,
        alpha,
        quality: 95,
      });
      await writeFile(join(working, frameName(place.pattern, number)), bytes);
    } catch (error) {
      failure ??= error;
    }
  }
  const stopOnFailure = () => {
    if (failure !== undefined) throw diskError(failure, file);
  };

  return guarded({
    pixelFormat: depth === 16 ? 'rgba64le' : 'rgba',
    async write(frame) {
      // A copy: the caller draws the next frame into its buffer while this one is packed.
      const work = put(Uint8Array.from(frame), count++).finally(() => inFlight.delete(work));
      inFlight.add(work);
      if (inFlight.size >= IN_FLIGHT) await Promise.race(inFlight);
      stopOnFailure();
    },
    async finish() {
      await Promise.all(inFlight);
      stopOnFailure();
      await deliver(working, place, overwrite).catch((error: unknown) => {
        throw diskError(error, file);
      });
      release(working);
    },
    async abort() {
      await Promise.all(inFlight);
      await removeTemporary(working);
    },
  });
}

/**
 * Gives the frames their names. A link of such a name is replaced itself, as whatever it points at, in this folder or
 * another, is none of the frames that were to be overwritten.
 */
async function deliver(working: string, { folder, pattern, fresh }: Place, overwrite: boolean) {
  if (fresh && !(await exists(folder))) return rename(working, folder);
  const made = await readdir(working);
  for (const name of made) {
    const to = join(folder, name);
    await (overwrite ? rename(join(working, name), to) : renameNew(join(working, name), to)).catch(
      (error: unknown) => {
        const taken = (error as NodeJS.ErrnoException).code === 'EEXIST';
        throw taken
          ? new WorkError(`${to} appeared meanwhile: the one that is there was kept.`)
          : error;
      },
    );
  }
  // A shorter sequence over a longer one: the old end would play on behind the new one.
  const current = new Set(made);
  const old = overwrite ? await framesIn(folder, pattern) : [];
  for (const name of old) if (!current.has(name)) await unlink(join(folder, name));
  await removeTemporary(working);
}
