import { type FileHandle, open } from 'node:fs/promises';
import { fill, readBytes } from '../reading.js';
import { type Box, parseBoxes, serialiseBox } from './boxes.js';
import { moveChunkOffsets, movedFragmentOffsets, type Patch } from './offsets.js';
import { type Region, topBoxes, wrong } from './regions.js';

/** A movie header much larger than any real one: a two-day recording's is about 50 MB. */
const LARGEST_HEADER = 512 * 2 ** 20;
const COPY_BYTES = 4 * 2 ** 20;

/** The movie's header box, opened, and where it lies. */
export async function readMovieHeader(
  handle: FileHandle,
  file: string,
  regions: readonly Region[],
): Promise<{ region: Region; moov: Box }> {
  const region = regions.find((each) => each.type === 'moov');
  if (region === undefined) {
    throw wrong(file, 'the movie has no header (no moov box): the recording was not finished');
  }
  if (region.size > LARGEST_HEADER) {
    throw wrong(file, `the movie's header claims ${region.size} bytes, which no real movie has`);
  }
  const { boxes } = parseBoxes(await readBytes(handle, region.start, region.size), '');
  const moov = boxes[0];
  if (moov?.children === undefined) throw wrong(file, "the movie's header is empty");
  if (moov.children.some((box) => box.type === 'cmov')) {
    throw wrong(
      file,
      "the movie's header is compressed; re-wrap it with: ffmpeg -i IN -c copy OUT.mov",
    );
  }
  return { region, moov };
}

export async function readMovie(file: string): Promise<Box> {
  const handle = await open(file);
  try {
    return (await readMovieHeader(handle, file, await topBoxes(handle, file))).moov;
  } finally {
    await handle.close();
  }
}

async function copyRange(from: FileHandle, to: FileHandle, start: number, end: number, at: number) {
  const chunk = Buffer.alloc(Math.min(COPY_BYTES, Math.max(1, end - start)));
  let position = start;
  while (position < end) {
    const want = Math.min(chunk.length, end - position);
    const part = chunk.subarray(0, want);
    if ((await fill(from, part, position)) < want) {
      throw new Error('the file became shorter while it was read');
    }
    await writeAll(to, part, at + position - start);
    position += want;
  }
}

async function writeAll(to: FileHandle, bytes: Buffer, position: number): Promise<void> {
  let written = 0;
  while (written < bytes.length) {
    written += (await to.write(bytes, written, bytes.length - written, position + written))
      .bytesWritten;
  }
}

/** A movie with its header changed, ready to be written. */
export interface EditedMovie {
  readonly changed: boolean;
  /** Copies the movie to `target` with the new header; the media data pass through unread. */
  write(target: string): Promise<void>;
}

/**
 * Applies `edit` to a movie's header and moves every offset that points behind it by as much as it
 * grew. Nothing is written until `write` is called.
 *
 * @throws InputError when the file is no whole MP4 or MOV.
 */
export async function editMovie(file: string, edit: (moov: Box) => void): Promise<EditedMovie> {
  const handle = await open(file);
  try {
    const regions = await topBoxes(handle, file);
    const { region, moov } = await readMovieHeader(handle, file, regions);
    const before = serialiseBox(moov);
    edit(moov);
    const changed = !serialiseBox(moov).equals(before);
    const headerEnd = region.start + region.size;
    const growth = changed ? moveChunkOffsets(moov, region) : 0;
    const patches =
      growth === 0 ? [] : await movedFragmentOffsets(handle, regions, headerEnd, growth);
    const header = serialiseBox(moov);
    return { changed, write: (target) => copyEdited(file, target, region, header, patches) };
  } finally {
    await handle.close();
  }
}

/**
 * Applies `edit`, which leaves every size as it is, to the header of a movie of ours, in its place.
 *
 * @throws InputError when the file is no whole MP4 or MOV
 */
export async function editMovieInPlace(file: string, edit: (moov: Box) => void): Promise<void> {
  const handle = await open(file, 'r+');
  try {
    const { region, moov } = await readMovieHeader(handle, file, await topBoxes(handle, file));
    edit(moov);
    const header = serialiseBox(moov);
    if (header.length !== region.size) throw new Error('the header would not fit into its place');
    await writeAll(handle, header, region.start);
  } finally {
    await handle.close();
  }
}

async function copyEdited(
  file: string,
  target: string,
  region: Region,
  header: Buffer,
  patches: readonly Patch[],
): Promise<void> {
  const from = await open(file);
  try {
    const to = await open(target, 'w');
    try {
      const { size } = await from.stat();
      const rest = region.start + region.size;
      await copyRange(from, to, 0, region.start, 0);
      await writeAll(to, header, region.start);
      await copyRange(from, to, rest, size, region.start + header.length);
      for (const { at, bytes } of patches) await writeAll(to, bytes, at);
    } finally {
      await to.close();
    }
  } finally {
    await from.close();
  }
}
