import { gpanoOf, inRange } from '../master/mark/gpano.js';
import { withMetadata } from '../master/metadata.js';
import { degrees, radians } from '../math.js';
import { momentView, wayOf } from './samples.js';
import type { Moves, StartView } from './types.js';

export const USUAL_START: StartView = { yaw: 0, pitch: 0, fov: 75 };

/** Wide enough for a viewer to find the way, and narrow enough to be no planet. */
const [NARROWEST, WIDEST] = [30, 120];

/** GPano's field of view goes across the frame, whose shape it does not say; taken as this one. */
const ASPECT = 16 / 9;

/**
 * The initial view that a photo's GPano fields ask for, where they do. Its heading counts from north, as
 * the pose's of the picture's centre does (Google, "Photo Sphere XMP Metadata").
 *
 * @throws WorkError where ExifTool does not start, InputError where the file's metadata cannot be read
 */
export async function startOf(master: string): Promise<StartView> {
  const gpano = gpanoOf(await withMetadata((tool) => tool.read(master)));
  const stated = (name: string): number | undefined =>
    gpano[name] !== undefined && inRange(name, gpano[name]) ? Number(gpano[name]) : undefined;
  const heading = stated('InitialViewHeadingDegrees');
  const across = stated('InitialHorizontalFOVDegrees');
  return {
    yaw: heading === undefined ? 0 : turned(heading - (stated('PoseHeadingDegrees') ?? 0)),
    pitch: stated('InitialViewPitchDegrees') ?? USUAL_START.pitch,
    fov: across === undefined ? USUAL_START.fov : acrossShorter(across),
  };
}

const turned = (yaw: number): number => yaw - 360 * Math.round(yaw / 360);

function acrossShorter(fov: number): number {
  const half = Math.min(fov, 160) / 2;
  const shorter = 2 * degrees(Math.atan(Math.tan(radians(half)) / ASPECT));
  return Math.min(WIDEST, Math.max(NARROWEST, Math.round(10 * shorter) / 10));
}

/** Where a scene's moves leave the viewer: their last view, level and through an ordinary lens. */
export function endOf(moves: Moves): StartView {
  const bytes = Buffer.from(moves.samples, 'base64');
  const floats = Float32Array.from({ length: bytes.length / 4 }, (_, n) =>
    bytes.readFloatLE(4 * n),
  );
  const way = wayOf(moves, floats);
  const { yaw, pitch, fov } = momentView(way.at(way.loop ? 0 : way.duration));
  return { yaw, pitch, fov };
}
