import { createHash } from 'node:crypto';
import { copyFile } from 'node:fs/promises';
import { writeWhole } from '../../encode/wholeFile.js';
import { InputError, WorkError } from '../../errors.js';
import type { Format, FormatName } from '../inspect/format.js';
import { expectNameFits } from '../inspect/format.js';
import { decode, expectDecodes, isAnimated, type Photo, readPhoto } from '../inspect/photo.js';
import { findTag, type MetadataTool, type Tag, type TagEdits, withMetadata } from '../metadata.js';
import { otherProjection, smallness } from '../sphere.js';
import { type Claim, claimFor } from './claim.js';
import { contradictions, GPANO_GROUP, gpanoOf, inRange } from './gpano.js';
import { editWithoutPlace, placeEdits, placeReport, placeTags } from './place.js';
import { bytesAfterJpeg } from './trailer.js';
import type { Change, MarkOptions, MarkResult } from './types.js';

const WRITABLE: readonly FormatName[] = ['jpeg', 'png', 'webp', 'tiff', 'avif', 'heic'];

/** Groups that a flat picture must not have. */
const SPHERE_GROUPS: readonly string[] = [GPANO_GROUP, 'XMP-GSpherical'];

const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

function extraFor({ format }: Photo, tags: readonly Tag[]): string[] {
  // PNG readers that stop at the pixels miss an XMP chunk behind them.
  const early = format.name === 'png' ? ['-api', 'PNGEarlyXMP=1'] : [];
  // ExifTool joins two packets that contradict each other only when told to.
  return contradictions(tags).length > 0 ? [...early, '-m'] : early;
}

/** Marks a photo. See `markMaster`. */
export async function markPhoto(format: Format, options: MarkOptions): Promise<MarkResult> {
  const { input, stripPlace = false } = options;
  expectWritable(input, format);
  const photo = await readPhoto(input, format);
  const small = options.flat ? undefined : smallness(photo);
  if (small !== undefined) throw wrong(input, small);
  await expectDecodes(photo);
  return withMetadata(async (tool) => {
    const tags = await tool.read(input);
    expectStill(photo, tags);
    const claim = options.flat ? {} : claimFor(photo, gpanoOf(tags), options);
    const changes = changesTo(tags, claim, options.flat ?? false);
    const sphere = changes.length === 0 ? {} : sphereEdits(claim, options.flat ?? false);
    const before = stripPlace ? await tool.readDeep(input) : [];
    const check = (after: readonly Tag[]) =>
      expectMarked(input, after, claim, options.flat ?? false);
    const edits = { ...sphere, ...placeEdits(before) };
    const after = await write(tool, options, edits, extraFor(photo, tags), check);
    const trailing = stripPlace && format.name === 'jpeg' ? await bytesAfterJpeg(input) : 0;
    const place = stripPlace
      ? placeReport(before, after ?? before, undefined, trailing)
      : undefined;
    return {
      file: options.output ?? input,
      kind: 'photo',
      changed: changes.length > 0 || (place?.removed.length ?? 0) > 0,
      changes,
      ...(place === undefined ? {} : { place }),
      notes: notesOn(photo, tags, options),
    };
  });
}

function expectWritable(file: string, format: Format): void {
  if (!WRITABLE.includes(format.name)) {
    throw wrong(
      file,
      `${format.title} has no place for a sphere's metadata that programs read; save it as JPEG, TIFF, PNG, WebP or AVIF first`,
    );
  }
  expectNameFits(file, format);
}

function expectStill(photo: Photo, tags: readonly Tag[]): void {
  const frames = Number(tags.find(({ name }) => name === 'AnimationFrames')?.value ?? 1);
  if (!isAnimated(photo) && frames <= 1) return;
  throw wrong(
    photo.file,
    `expected a still picture, found an animation of ${Math.max(frames, photo.pages)} frames; save one frame of it first`,
  );
}

const inWords = (value: unknown): string =>
  typeof value === 'object' ? JSON.stringify(value) : String(value);

const sameValue = (a: unknown, b: unknown): boolean =>
  inWords(a).toLowerCase() === inWords(b).toLowerCase();

function changesTo(tags: readonly Tag[], claim: Claim, flat: boolean): Change[] {
  const groups = flat ? SPHERE_GROUPS : [GPANO_GROUP];
  const old = tags.filter(({ group, embedded }) => !embedded && groups.includes(group));
  const removed = old
    .filter((tag) => claim[tag.name] === undefined || !sameValue(tag.value, claim[tag.name]))
    .map(({ name, value }) => ({
      field: name,
      from: inWords(value),
      to: claim[name] === undefined ? undefined : inWords(claim[name]),
    }));
  const added = Object.entries(claim)
    .filter(([name]) => !old.some((tag) => tag.name === name))
    .map(([field, value]) => ({ field, from: undefined, to: inWords(value) }));
  return [...removed, ...added];
}

function sphereEdits(claim: Claim, flat: boolean): TagEdits {
  const edits: Record<string, string | number | boolean | null> = {};
  for (const group of flat ? SPHERE_GROUPS : [GPANO_GROUP]) edits[`${group}:all`] = null;
  for (const [name, value] of Object.entries(claim)) edits[`${GPANO_GROUP}:${name}`] = value;
  return edits;
}

/** Writes the file and gives its tags; undefined when it already was as it should be. */
async function write(
  tool: MetadataTool,
  options: MarkOptions,
  edits: TagEdits,
  extra: readonly string[],
  check: (after: readonly Tag[]) => void,
): Promise<Tag[] | undefined> {
  const { input, output, overwrite = false, stripPlace } = options;
  const nothing = Object.keys(edits).length === 0;
  if (nothing && output === undefined) return undefined;
  if (nothing && output !== undefined) {
    await writeWhole(output, overwrite, (temporary) => copyFile(input, temporary));
    return undefined;
  }
  return writeWhole(output ?? input, overwrite, async (temporary) => {
    await copyFile(input, temporary);
    const tags = stripPlace
      ? await editWithoutPlace(tool, temporary, input, edits, extra)
      : await tool.edit(temporary, input, edits, extra).then(() => tool.read(temporary));
    if ((await imageHash(tool, input)) !== (await imageHash(tool, temporary))) {
      throw new WorkError(`${input}: the picture's data would have changed; nothing was written`);
    }
    check(tags);
    return tags;
  });
}

/** A checksum of the coded picture without its metadata, or where ExifTool has none, of its pixels. */
async function imageHash(tool: MetadataTool, file: string): Promise<unknown> {
  const tags = await tool.read(file, ['-ImageDataHash', '-api', 'RequestTags=ImageDataHash']);
  const coded = tags.find(({ name }) => name === 'ImageDataHash')?.value;
  if (coded !== undefined) return coded;
  return createHash('sha256')
    .update(await decode(file).raw().toBuffer())
    .digest('hex');
}

function expectMarked(file: string, tags: readonly Tag[], claim: Claim, flat: boolean): void {
  const left = changesTo(tags, claim, flat);
  if (left.length === 0) return;
  const fields = left.map(({ field }) => field).join(', ');
  throw new WorkError(`${file}: these fields could not be set: ${fields}; nothing was written`);
}

function notesOn(photo: Photo, tags: readonly Tag[], options: MarkOptions): string[] {
  const notes: string[] = [];
  const heading = findTag(tags, GPANO_GROUP, 'PoseHeadingDegrees')?.value;
  const headingKnown = heading !== undefined && inRange('PoseHeadingDegrees', heading);
  const other = otherProjection(gpanoOf(tags));
  if (!options.flat && other !== undefined) {
    notes.push(
      `It claimed the projection "${other}" and now claims to be equirectangular: if it is not, convert it, as marking moves no pixel.`,
    );
  }
  if (!options.flat && options.heading === undefined && !headingKnown) {
    notes.push(
      'The heading is written as 0 because nothing tells it: give --heading if you know it.',
    );
  }
  if (photo.colourSpace === 'cmyk') {
    notes.push('It is a CMYK picture, which many viewers do not show: convert it to RGB.');
  }
  if (photo.orientation !== 1) {
    notes.push(
      `EXIF asks to turn the picture (orientation ${photo.orientation}): a sphere's viewers may or may not.`,
    );
  }
  if (!options.stripPlace && placeTags(tags).length > 0) {
    notes.push(
      'Its metadata tell where it was taken: --strip-place removes that before publishing.',
    );
  }
  return notes;
}
