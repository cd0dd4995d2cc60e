import { InputError } from '../errors.js';
import { type Box, child, opened } from './spherical/boxes.js';
import {
  type Bounds,
  isV1Box,
  parseV1,
  parseV2,
  type StereoMode,
  st3dBox,
  sv3dBox,
  type V1,
  type V2,
  V2_TYPES,
  v1Box,
  WHOLE,
} from './spherical/bytes.js';
import { editMovie, readMovie } from './spherical/movie.js';
import { checkPose } from './spherical/pose.js';
import { writeWhole } from './wholeFile.js';

export type { Bounds, StereoMode, V1, V2 } from './spherical/bytes.js';

/** What spherical metadata of our own pictures and clips name as their origin. */
export const SOURCE = 'Orbreel';

/** A video track and what its boxes claim. */
export interface SphericalTrack {
  /** Coded size in pixels, as the sample entry says. */
  readonly width: number;
  readonly height: number;
  /** Sample entry's four-character code: avc1, hvc1, ... */
  readonly codec: string;
  /** Whether its matrix has players turn it by a quarter, either way; of MP4 and MOV. */
  readonly isTurned?: true;
  readonly v1?: V1;
  readonly v2?: V2;
}

export interface WriteTo {
  /** Where the result goes; the file itself when left out, which needs `overwrite`. */
  readonly out?: string;
  readonly overwrite?: boolean;
}

export interface SphericalOptions extends WriteTo {
  /** The pose of the projection in degrees, as V2 defines it: yaw to the left (seen from above) -180..180, pitch upward -90..90, roll clockwise -180..180. */
  readonly yaw?: number;
  readonly pitch?: number;
  readonly roll?: number;
  /** The program that claims it; V1's StitchingSoftware and V2's metadata_source. */
  readonly source: string;
  readonly stereo?: StereoMode;
  /** Shares of the whole sphere's picture that the frame lacks; 0 unless given. */
  readonly bounds?: Bounds;
}

export interface SphericalResult {
  readonly file: string;
  readonly changed: boolean;
}

const VISUAL_FIELDS = 78;

const isWhole = ({ top, bottom, left, right }: Bounds): boolean =>
  top + bottom + left + right === 0;

interface VideoTrack {
  readonly trak: Box;
  readonly stsd: Box;
}

function videoTracks(moov: Box): VideoTrack[] {
  return (moov.children ?? []).flatMap((trak) => {
    if (trak.type !== 'trak') return [];
    const handler = child(trak, 'mdia', 'hdlr')?.body.toString('latin1', 8, 12);
    const stsd = child(trak, 'mdia', 'minf', 'stbl', 'stsd');
    return handler === 'vide' && stsd?.children?.length ? [{ trak, stsd }] : [];
  });
}

/** Replaces each visual sample entry's children by what `edit` makes of them. */
function editSampleEntries(stsd: Box, edit: (children: Box[]) => Box[]): void {
  stsd.children =
    stsd.children?.map((entry) => {
      if (entry.body.length < VISUAL_FIELDS) return entry;
      const open = opened(entry, VISUAL_FIELDS);
      return { ...open, children: edit(open.children ?? []) };
    }) ?? [];
}

const withoutV2 = (children: readonly Box[]): Box[] =>
  children.filter((box) => !V2_TYPES.includes(box.type));

function removeClaims({ trak, stsd }: VideoTrack): void {
  trak.children = (trak.children ?? []).filter((box) => !isV1Box(box));
  editSampleEntries(stsd, withoutV2);
}

/** V2's boxes go before the optional boxes that end a visual sample entry. */
const ENDING: readonly string[] = ['pasp', 'clap'];

function addV2(children: readonly Box[], boxes: readonly Box[]): Box[] {
  const at = children.findIndex((box) => ENDING.includes(box.type));
  const end = at < 0 ? children.length : at;
  return [...children.slice(0, end), ...boxes, ...children.slice(end)];
}

function sizeOf(entry: Box | undefined): { width: number; height: number } {
  if (entry === undefined || entry.body.length < 28) return { width: 0, height: 0 };
  return { width: entry.body.readUInt16BE(24), height: entry.body.readUInt16BE(26) };
}

/** The largest video track: others are previews. */
function mainTrack(tracks: readonly VideoTrack[]): VideoTrack | undefined {
  const area = ({ stsd }: VideoTrack) => {
    const { width, height } = sizeOf(stsd.children?.[0]);
    return width * height;
  };
  return [...tracks].sort((a, b) => area(b) - area(a))[0];
}

/** By the matrix of the track's header (ISO/IEC 14496-12, section 8.3.2): a b u, c d v, x y w, 32 bits each. */
function isTurned(trak: Box): boolean {
  const header = child(trak, 'tkhd')?.body;
  const at = header?.[0] === 1 ? 52 : 40;
  if (header === undefined || header.length < at + 20) return false;
  const [a, b, c, d] = [0, 4, 12, 16].map((offset) => header.readInt32BE(at + offset));
  return a === 0 && d === 0 && b !== 0 && c !== 0;
}

/** What the boxes of an MP4's or MOV's video tracks claim, in the order of the tracks. */
export async function readSpherical(file: string): Promise<SphericalTrack[]> {
  return videoTracks(await readMovie(file)).map(({ trak, stsd }) => {
    const entry = stsd.children?.[0] as Box;
    const v1 = trak.children?.find(isV1Box);
    const inside = entry.body.length < VISUAL_FIELDS ? [] : opened(entry, VISUAL_FIELDS).children;
    const v2 = parseV2(inside ?? []);
    return {
      ...sizeOf(entry),
      codec: entry.type,
      ...(isTurned(trak) ? { isTurned: true as const } : {}),
      ...(v1 === undefined ? {} : { v1: parseV1(v1) }),
      ...(v2 === undefined ? {} : { v2 }),
    };
  });
}

/**
 * Marks an MP4's or MOV's main video track as an equirectangular sphere, by a V1 and V2 boxes, in
 * place of whatever its tracks claimed. A partial sphere gets V2 only, because V1's crop fields are
 * read in two ways. The media data are copied through, never decoded or loaded.
 *
 * @throws InputError when the file is no whole movie or a value is out of its range.
 */
export async function markSphericalVideo(
  file: string,
  options: SphericalOptions,
): Promise<SphericalResult> {
  const { source, yaw = 0, pitch = 0, roll = 0, bounds = WHOLE, stereo = 'mono' } = options;
  checkPose({ yaw, pitch, roll }, bounds);
  return rewrite(file, options, (tracks) => {
    for (const track of tracks) removeClaims(track);
    const main = mainTrack(tracks);
    if (main === undefined) throw noVideo(file);
    if (isWhole(bounds)) main.trak.children?.push(v1Box(v1Fields(source, stereo)));
    const boxes = [st3dBox(stereo), sv3dBox({ source, yaw, pitch, roll, bounds })];
    editSampleEntries(main.stsd, (children) => addV2(children, boxes));
  });
}

/** Removes the V1 and V2 claims of every video track; for flat pictures, where they would be false. */
export async function stripSpherical(file: string, to: WriteTo = {}): Promise<SphericalResult> {
  return rewrite(file, to, (tracks) => {
    for (const track of tracks) removeClaims(track);
  });
}

const noVideo = (file: string): InputError =>
  new InputError([{ place: file, path: '', message: 'expected a video track, found none' }]);

function v1Fields(source: string, stereo: StereoMode): Record<string, string> {
  return {
    Spherical: 'true',
    Stitched: 'true',
    StitchingSoftware: source,
    ProjectionType: 'equirectangular',
    ...(stereo === 'mono' ? {} : { StereoMode: stereo }),
  };
}

async function rewrite(
  file: string,
  to: WriteTo,
  change: (tracks: readonly VideoTrack[]) => void,
): Promise<SphericalResult> {
  const movie = await editMovie(file, (moov) => change(videoTracks(moov)));
  const target = to.out ?? file;
  if (movie.changed || to.out !== undefined) {
    await writeWhole(target, to.overwrite ?? false, (temporary) => movie.write(temporary));
  }
  return { file: target, changed: movie.changed };
}
