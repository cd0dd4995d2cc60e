import { stat } from 'node:fs/promises';
import { findFfmpeg } from '../encode/ffmpeg.js';
import type { SphericalTrack } from '../encode/spherical.js';
import { adviceFor, joinsNowhere } from './inspect/advice.js';
import { cameraFacts, profileName } from './inspect/camera.js';
import { commonClaims, runnable } from './inspect/claims.js';
import {
  type Coverage,
  coverageOf,
  goesAllRound,
  reachesNadir,
  reachesZenith,
  WHOLE_SPHERE,
} from './inspect/coverage.js';
import { detectFormat, type Format } from './inspect/format.js';
import { readGrid } from './inspect/grid.js';
import { measureHighlights } from './inspect/highlights.js';
import { findHoles } from './inspect/holes.js';
import { supportedSizes } from './inspect/magnification.js';
import { type Photo, readPhoto } from './inspect/photo.js';
import { photoClaims } from './inspect/photoClaims.js';
import { measurePoleRow, measureSeam } from './inspect/seam.js';
import { findSpecks } from './inspect/specks.js';
import type { Horizon, Inspection } from './inspect/types.js';
import { grabFrame, momentOf, sphericalTracks } from './inspect/video.js';
import { videoClaims } from './inspect/videoClaims.js';
import { gpanoOf } from './mark/gpano.js';
import { type Tag, withMetadata } from './metadata.js';
import { noteOn } from './transparency.js';
import { isOnItsSide, turnedInWords } from './video/turned.js';

export type { Coverage } from './inspect/coverage.js';
export { describeInspection } from './inspect/describe.js';
export type { Hole } from './inspect/holes.js';
export { renderHoles } from './inspect/thumbnail.js';
export type { CameraFacts, Claim, Horizon, Inspection, Verdict } from './inspect/types.js';

export interface InspectOptions {
  /** Finds how the camera leaned; undefined where it is unsure. */
  readonly horizon?: (file: string) => Promise<Horizon | undefined>;
  /** Path of ffmpeg, for a video's frame. */
  readonly ffmpeg?: string;
}

/**
 * Looks a master over: what it is, what its metadata claim and whether that is so, what is missing,
 * and what it is good for. Holes and highlights are looked for on at most 4096x2048 samples picked
 * from the picture, which in one narrower than 512 pixels are too few to tell smooth areas from holes;
 * the seam and the pole rows are read at full size. Memory does not grow with the
 * picture, except where its format must be decoded whole (AVIF, interlaced PNG).
 *
 * @throws InputError when the file is damaged or no photo or video.
 */
export async function inspectMaster(
  file: string,
  options: InspectOptions = {},
): Promise<Inspection> {
  const format = await detectFormat(file);
  const tags = await withMetadata((tool) => tool.read(file));
  const tracks = format.kind === 'video' ? await sphericalTracks(file, format) : [];
  const frameAt = format.kind === 'video' ? momentOf(tags) : undefined;
  const frame = frameAt === undefined ? undefined : await grabFrame(file, frameAt, options.ffmpeg);
  const photo = await readPhoto(file, format, frame);
  const stored = tracks.find((track) => isOnItsSide(track, photo));
  const coverage = coverageOf(photo, gpanoOf(tags));
  const picture = await lookAtPicture(photo, coverage);
  const horizon = await options.horizon?.(file);
  const inspection = {
    file,
    bytes: (await stat(file)).size,
    ...headerFacts(photo, tags),
    ...(frameAt === undefined ? {} : { frameAt }),
    ...(stored === undefined ? {} : { stored: { width: stored.width, height: stored.height } }),
    ...(photo.pages > 1 ? { pages: photo.pages } : {}),
    ...(photo.orientation > 1 ? { orientation: photo.orientation } : {}),
    coverage,
    claims: allClaims(photo, format, tags, tracks, coverage, picture),
    ...picture.findings,
    ...(horizon === undefined ? {} : { horizon }),
    sizes: supportedSizes((photo.width * 360) / (coverage.right - coverage.left)),
  };
  const turned = stored && turnedInWords(file, stored, await findFfmpeg(options.ffmpeg));
  return { ...inspection, advice: adviceFor(inspection, turned) };
}

function headerFacts(photo: Photo, tags: readonly Tag[]) {
  const { width, height, depth, channels, colourSpace, format } = photo;
  const profile = profileName(tags);
  const unspecified = noteOn(photo.beside).length > 0;
  return {
    kind: format.kind,
    format: format.title,
    width,
    height,
    megapixels: (width * height) / 1e6,
    aspect: width / height,
    depth,
    ...(photo.unusual === undefined ? {} : { samples: photo.unusual }),
    channels,
    colourSpace,
    ...(unspecified ? { unspecified: photo.beside.count } : {}),
    ...(photo.palette ? { palette: true as const } : {}),
    ...(profile === undefined ? {} : { profile }),
    camera: cameraFacts(tags),
  };
}

async function lookAtPicture(photo: Photo, coverage: Coverage) {
  const grid = await readGrid(photo, coverage);
  const { holes, mask } = findHoles(grid, coverage);
  const specks = await findSpecks(photo, grid, mask);
  const highlights = measureHighlights(grid, mask);
  const seam = goesAllRound(coverage) ? await measureSeam(photo) : undefined;
  const top = reachesZenith(coverage) ? await measurePoleRow(photo, 'first') : undefined;
  const bottom = reachesNadir(coverage) ? await measurePoleRow(photo, 'last') : undefined;
  const inHoles = holes.reduce((sum, hole) => sum + hole.solidAngle, specks?.solidAngle ?? 0);
  const solidAngle = WHOLE_SPHERE - coverage.solidAngle + inHoles;
  const findings = {
    holes,
    ...(specks === undefined ? {} : { specks }),
    missing: { solidAngle, percent: (100 * solidAngle) / WHOLE_SPHERE },
    ...(seam === undefined ? {} : { seam }),
    poles: {
      ...(top === undefined ? {} : { top }),
      ...(bottom === undefined ? {} : { bottom }),
    },
    highlights,
    grid: { width: grid.width, height: grid.height, reduced: grid.step > 1 },
  };
  const apart = joinsNowhere({ kind: photo.format.kind, coverage, ...findings });
  return { findings, holesPercent: (100 * inHoles) / WHOLE_SPHERE, apart };
}

function allClaims(
  photo: Photo,
  format: Format,
  tags: readonly Tag[],
  tracks: readonly SphericalTrack[],
  coverage: Coverage,
  { holesPercent, apart }: { readonly holesPercent: number; readonly apart: boolean },
) {
  const own =
    format.kind === 'photo'
      ? photoClaims(photo, tags, { coverage, holesPercent, apart }, profileName(tags))
      : videoClaims(photo.file, format, tracks, holesPercent);
  const all = [...own, ...commonClaims(photo.file, format, tags, cameraFacts(tags))];
  return runnable(all, photo);
}
