import { copyFile, type FileHandle, open } from 'node:fs/promises';
import { writeWhole } from '../wholeFile.js';
import { type Bounds, equiFields, parseBounds, type StereoMode, type V2 } from './bytes.js';
import {
  type Element,
  element,
  elementsIn,
  float,
  floatOf,
  master,
  serialised,
  unsigned,
  unsignedOf,
} from './ebml.js';
import { childrenOf, raiseVersion, readOpening, refitted } from './opening.js';
import { checkPose } from './pose.js';
import { wrong } from './regions.js';

/**
 * The Projection element of Matroska and WebM, which says what V2's boxes say in MP4.
 * Source: RFC 9559 (Matroska), section 5.1.4.1.28.41 to .46; the WebM guidelines have it too.
 */
const ID = {
  trackEntry: 0xae,
  codec: 0x86,
  video: 0xe0,
  width: 0xb0,
  height: 0xba,
  stereo: 0x53b8,
  projection: 0x7670,
  type: 0x7671,
  private: 0x7672,
  yaw: 0x7673,
  pitch: 0x7674,
  roll: 0x7675,
} as const;

const PROJECTIONS = ['rectangular', 'equirectangular', 'cubemap', 'mesh'] as const;

/** StereoMode, as far as V2 has the same: packed in one frame, the left eye first or second. */
const STEREO: Readonly<Record<number, StereoMode>> = {
  0: 'mono',
  1: 'left-right',
  3: 'top-bottom',
  11: 'right-left',
};

export interface MatroskaTrack {
  readonly width: number;
  readonly height: number;
  readonly codec: string;
  readonly v2?: V2;
}

/** Degrees, turning as V2 does: yaw to the left (seen from above), pitch upward, roll clockwise. */
export interface ProjectionClaim {
  readonly yaw: number;
  readonly pitch: number;
  readonly roll: number;
  readonly stereo: StereoMode;
  readonly bounds: Bounds;
}

/** What the video tracks of a Matroska or WebM file claim, in their order. */
export async function readProjections(file: string): Promise<MatroskaTrack[]> {
  const handle = await open(file);
  try {
    const { tracks } = await readOpening(handle, file);
    return videosOf(tracks, file).map(trackOf);
  } finally {
    await handle.close();
  }
}

/**
 * Has the main video track of `temporary`, which is ours, say that it is an equirectangular sphere, and no other
 * say anything; or, without a claim, none. Only what comes before the pictures is written anew, in its place:
 * there must be room, as most programs leave it. Messages call it `file`.
 *
 * @returns whether that changed anything
 * @throws InputError where the file is damaged, or has no room
 */
export async function writeProjection(
  temporary: string,
  file: string,
  claim?: ProjectionClaim,
): Promise<boolean> {
  const handle = await open(temporary, 'r+');
  try {
    const { start, changed, bytes } = await edited(handle, file, claim);
    if (!changed) return false;
    await handle.write(bytes, 0, bytes.length, start);
    if (claim !== undefined) await raiseVersion(handle);
    return true;
  } finally {
    await handle.close();
  }
}

/**
 * The same for a file of the user's, into `out` or, with `overwrite`, itself.
 *
 * @returns whether what it claims changed; where it does not, only `out` is written
 */
export async function markProjection(
  file: string,
  { out, overwrite = false }: { readonly out?: string; readonly overwrite?: boolean },
  claim?: ProjectionClaim,
): Promise<{ readonly changed: boolean }> {
  const handle = await open(file);
  const { changed } = await edited(handle, file, claim).finally(() => handle.close());
  if (changed || out !== undefined) {
    await writeWhole(out ?? file, overwrite, async (temporary) => {
      await copyFile(file, temporary);
      await writeProjection(temporary, file, claim);
    });
  }
  return { changed };
}

async function edited(handle: FileHandle, file: string, claim?: ProjectionClaim) {
  if (claim !== undefined) checkPose(claim, claim.bounds);
  const opening = await readOpening(handle, file);
  const bytes = refitted(opening, editedTracks(opening.tracks, file, claim), file);
  const changed = !Buffer.concat(opening.elements.map(serialised)).equals(bytes);
  return { start: opening.start, changed, bytes };
}

interface Video {
  readonly entry: readonly Element[];
  readonly video: readonly Element[];
}

/** The tracks that have pictures. */
function videosOf(tracks: Element, file: string): Video[] {
  return childrenOf(tracks, file).flatMap((one) => {
    if (one.id !== ID.trackEntry) return [];
    const entry = childrenOf(one, file);
    const video = entry.find(({ id }) => id === ID.video);
    return video === undefined ? [] : [{ entry, video: childrenOf(video, file) }];
  });
}

const numberOf = (list: readonly Element[], id: number): number | undefined => {
  const found = list.find((one) => one.id === id);
  return found && unsignedOf(found);
};

function trackOf({ entry, video }: Video): MatroskaTrack {
  const v2 = claimOf(video);
  return {
    width: numberOf(video, ID.width) ?? 0,
    height: numberOf(video, ID.height) ?? 0,
    codec: entry.find(({ id }) => id === ID.codec)?.data.toString('latin1') ?? '',
    ...(v2 === undefined ? {} : { v2 }),
  };
}

function claimOf(video: readonly Element[]): V2 | undefined {
  const projection = video.find(({ id }) => id === ID.projection);
  const fields = projection && elementsIn(projection.data);
  if (fields === undefined) return undefined;
  const type = PROJECTIONS[numberOf(fields, ID.type) ?? 0] ?? 'unknown';
  if (type === 'rectangular') return undefined;
  const angle = (id: number) => {
    const found = fields.find((one) => one.id === id);
    return found === undefined ? 0 : floatOf(found);
  };
  const mode = numberOf(video, ID.stereo);
  return {
    stereo: mode === undefined ? 'mono' : (STEREO[mode] ?? 'unknown'),
    source: '',
    // Matroska turns yaw clockwise and roll counter-clockwise, V2 the other way round.
    yaw: 0 - angle(ID.yaw),
    pitch: angle(ID.pitch),
    roll: 0 - angle(ID.roll),
    projection: type,
    bounds: parseBounds(fields.find(({ id }) => id === ID.private)?.data),
  };
}

function projectionElement({ yaw, pitch, roll, bounds }: ProjectionClaim): Element {
  return master(ID.projection, [
    unsigned(ID.type, PROJECTIONS.indexOf('equirectangular')),
    element(ID.private, Buffer.concat([Buffer.alloc(4), equiFields(bounds)])),
    float(ID.yaw, 0 - yaw),
    float(ID.pitch, pitch),
    float(ID.roll, 0 - roll),
  ]);
}

function editedTracks(tracks: Element, file: string, claim?: ProjectionClaim): Element {
  const videos = videosOf(tracks, file);
  const area = (list: readonly Element[]) =>
    (numberOf(list, ID.width) ?? 0) * (numberOf(list, ID.height) ?? 0);
  const [main] = [...videos].sort((a, b) => area(b.video) - area(a.video));
  if (main === undefined) throw wrong(file, 'expected a video track, found none');
  let index = 0;
  const entries = childrenOf(tracks, file).map((one) => {
    if (one.id !== ID.trackEntry) return one;
    const entry = childrenOf(one, file);
    if (!entry.some(({ id }) => id === ID.video)) return one;
    const own = videos[index++] === main ? claim : undefined;
    const edited = entry.map((part) =>
      part.id === ID.video
        ? master(ID.video, editedVideo(childrenOf(part, file), own), part.sizeLength)
        : part,
    );
    return master(ID.trackEntry, edited, one.sizeLength);
  });
  return master(tracks.id, entries, tracks.sizeLength);
}

function editedVideo(video: readonly Element[], claim?: ProjectionClaim): Element[] {
  const stood = video.some(({ id }) => id === ID.projection);
  // How eyes are packed is no claim of a sphere, and stays with a flat picture.
  const replaced: number[] = claim === undefined ? [] : [ID.stereo];
  const rest = video.filter(({ id }) => id !== ID.projection && !replaced.includes(id));
  if (claim === undefined) return stood ? rest : [...video];
  const mode = Object.entries(STEREO).find(([, name]) => name === claim.stereo)?.[0];
  const stereo = claim.stereo === 'mono' ? [] : [unsigned(ID.stereo, Number(mode))];
  return [...rest, ...stereo, projectionElement(claim)];
}
