import { copyFile } from 'node:fs/promises';
import { findFfmpeg, unturnedBy } from '../../encode/ffmpeg.js';
import {
  markProjection,
  type ProjectionClaim,
  readProjections,
} from '../../encode/spherical/matroska.js';
import {
  type Bounds,
  markSphericalVideo,
  readSpherical,
  type SphericalTrack,
  stripSpherical,
  type WriteTo,
} from '../../encode/spherical.js';
import { writeWhole } from '../../encode/wholeFile.js';
import { InputError } from '../../errors.js';
import { expectNameFits, type Format } from '../inspect/format.js';
import { type Tag, withMetadata } from '../metadata.js';
import { smallness } from '../sphere.js';
import { turnedInWords } from '../video/turned.js';
import { cropFor } from './claim.js';
import type { Crop, Size } from './gpano.js';
import { clearPlaces, matroskaPlaces } from './matroskaPlace.js';
import { editWithoutPlace, placeEdits, placeReport, placesGone } from './place.js';
import { clearTrackPlaces, trackPlaces } from './trackPlace.js';
import type { Change, MarkOptions, MarkResult } from './types.js';

const PROGRAM = 'Orbreel';

const wrong = (file: string, message: string): InputError =>
  new InputError([{ place: file, path: '', message }]);

/** Marks a video by its boxes, or its Projection element. See `markMaster`. */
export async function markVideo(format: Format, options: MarkOptions): Promise<MarkResult> {
  const { input, output = input, overwrite = false, stripPlace = false } = options;
  expectNameFits(input, format);
  const how = waysOf(format);
  const before = await how.read(input);
  const mark = marker(before, how, options);
  return withMetadata(async (tool) => {
    const tags = stripPlace ? await tool.readDeep(input) : [];
    const own = stripPlace && how.isMatroska ? await matroskaPlaces(input) : undefined;
    const edits = how.isMatroska ? {} : placeEdits(tags);
    const tracks = stripPlace && !how.isMatroska ? await trackPlaces(input) : [];
    const none = [Object.keys(edits), tracks, own?.labels ?? []].every(
      ({ length }) => length === 0,
    );
    let after: readonly Tag[] = tags;
    let changed = false;
    if (none) {
      changed = (await mark(input, { ...(output === input ? {} : { out: output }), overwrite }))
        .changed;
    } else {
      await writeWhole(output, overwrite, async (temporary) => {
        await copyFile(input, temporary);
        if (own !== undefined) await clearPlaces(temporary, own);
        else {
          await editWithoutPlace(tool, temporary, input, edits);
          if (tracks.length > 0) await clearTrackPlaces(temporary);
        }
        after = await tool.readDeep(temporary);
        changed = (await mark(temporary, { overwrite: true })).changed;
      });
    }
    const gone = own?.labels ?? [
      // Some of those of the tracks ExifTool tells too, by names of its own.
      ...placesGone(tags, after).filter((label) => !OF_A_TRACK.test(label)),
      ...tracks,
    ];
    const place = stripPlace ? placeReport(tags, after, gone) : undefined;
    return {
      file: output,
      kind: 'video',
      changed: changed || (place?.removed.length ?? 0) > 0,
      changes: changed ? changesBetween(before, await how.read(output), how.name) : [],
      ...(place === undefined ? {} : { place }),
      notes: options.flat ? [] : await turnNote(input, before),
    };
  });
}

/** ExifTool's groups of a movie's single tracks: VideoUserData, AudioKeys, ... */
const OF_A_TRACK = /^[^:]+(?:UserData|Keys|ItemList):|^UserData:Track\d|^Track\d/;

type Marker = (file: string, to: WriteTo) => Promise<{ readonly changed: boolean }>;

/** How the claims of a kind of video are read and written. */
interface Ways {
  readonly isMatroska: boolean;
  /** What holds the claims, but for V1's. */
  readonly name: string;
  read(file: string): Promise<readonly SphericalTrack[]>;
  mark(file: string, to: WriteTo, claim: ProjectionClaim & { source: string }): ReturnType<Marker>;
  strip: Marker;
}

const waysOf = ({ name }: Format): Ways =>
  name === 'matroska'
    ? {
        isMatroska: true,
        name: 'Projection',
        read: readProjections,
        mark: markProjection,
        strip: markProjection,
      }
    : {
        isMatroska: false,
        name: 'V2',
        read: readSpherical,
        mark: (file, to, claim) => markSphericalVideo(file, { ...claim, ...to }),
        strip: stripSpherical,
      };

const mainTrack = (tracks: readonly SphericalTrack[]): SphericalTrack | undefined =>
  [...tracks].sort((a, b) => b.width * b.height - a.width * a.height)[0];

function marker(tracks: readonly SphericalTrack[], ways: Ways, options: MarkOptions): Marker {
  if (options.flat) return ways.strip;
  const main = mainTrack(tracks);
  if (main === undefined) throw wrong(options.input, 'expected a video track, found none');
  const { heading = 0, pitch = 0, roll = 0, software = PROGRAM, stereo = 'mono' } = options;
  const eye = eyeSize(main, stereo);
  const small = smallness(eye);
  if (small !== undefined) throw wrong(options.input, small);
  const crop = cropFor({ ...eye, file: options.input, kind: 'video' }, {}, options.place);
  // V2 turns yaw to the left, a heading turns to the right.
  const yaw = heading > 180 ? 360 - heading : 0 - heading;
  const claim = { source: software, yaw, pitch, roll, stereo, bounds: boundsOf(crop) };
  return (file, to) => ways.mark(file, to, claim);
}

/** A sphere that players turn on its side is none to them. */
async function turnNote(file: string, tracks: readonly SphericalTrack[]): Promise<string[]> {
  const turned = mainTrack(tracks);
  if (turned?.isTurned !== true) return [];
  // Marking itself needs no ffmpeg.
  const ffmpeg = await findFfmpeg().catch(() => ({ unturned: unturnedBy('') }));
  return [`It is ${turnedInWords(file, turned, ffmpeg)}, and mark that.`];
}

function eyeSize({ width, height }: Size, stereo: MarkOptions['stereo']): Size {
  if (stereo === 'top-bottom') return { width, height: height / 2 };
  return stereo === 'left-right' || stereo === 'right-left'
    ? { width: width / 2, height }
    : { width, height };
}

function boundsOf(crop: Crop): Bounds {
  return {
    top: crop.top / crop.fullHeight,
    bottom: (crop.fullHeight - crop.top - crop.height) / crop.fullHeight,
    left: crop.left / crop.fullWidth,
    right: (crop.fullWidth - crop.left - crop.width) / crop.fullWidth,
  };
}

/** What the boxes of all tracks say, by names for people. */
function sayings(tracks: readonly SphericalTrack[], holder: string): Map<string, string> {
  const said = new Map<string, string>();
  tracks.forEach(({ v1, v2 }, index) => {
    const track = tracks.length === 1 ? '' : `video track ${index + 1} `;
    for (const [name, value] of Object.entries(v1?.fields ?? {}))
      said.set(`${track}V1 ${name}`, value);
    for (const [name, value] of Object.entries(v2 ?? {})) {
      if (value === '') continue;
      said.set(
        `${track}${holder} ${name}`,
        typeof value === 'object' ? JSON.stringify(value) : String(value),
      );
    }
  });
  return said;
}

function changesBetween(
  before: readonly SphericalTrack[],
  after: readonly SphericalTrack[],
  holder: string,
): Change[] {
  const [old, now] = [sayings(before, holder), sayings(after, holder)];
  return [...new Set([...old.keys(), ...now.keys()])]
    .map((field) => ({ field, from: old.get(field), to: now.get(field) }))
    .filter(({ from, to }) => from !== to);
}
