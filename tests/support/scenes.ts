import { frameLens } from '../../src/camera/framing.js';
import { orientationOf, rotationMatrix } from '../../src/camera/orientation.js';
import type { Camera } from '../../src/camera/types.js';
import { findLens } from '../../src/projection/index.js';

export interface View {
  readonly projection: string;
  /** Degrees, along the frame's shorter side. */
  readonly fov: number;
  readonly yaw?: number;
  readonly pitch?: number;
  readonly roll?: number;
}

/** A camera with one lens, for a frame of that size. */
export function cameraFor(view: View, width: number, height: number): Camera {
  const { projection, fov, yaw = 0, pitch = 0, roll = 0 } = view;
  const lens = frameLens(findLens(projection), {}, fov, 'shorter', width, height);
  return { rotation: rotationMatrix(orientationOf(yaw, pitch, roll)), lenses: [lens], mix: 0 };
}
