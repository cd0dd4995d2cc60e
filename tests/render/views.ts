/** Fields of view, in degrees, at which the parts of frames are looked at, for every projection. */
export const FOVS: Record<string, readonly number[]> = {
  rectilinear: [40, 120],
  stereographic: [100, 300],
  'mirror-ball': [120, 360],
  equidistant: [180, 300],
  'equal-area': [180, 360],
  orthographic: [90, 180],
  cylindrical: [90, 150],
  panini: [90, 150],
  equirectangular: [90, 180],
};
/** Onto a pole, over the seam, and straight on. */
export const AIMS = [
  { yaw: 20, pitch: -90, roll: 0 },
  { yaw: 170, pitch: -50, roll: 20 },
  { yaw: 0, pitch: 0, roll: 0 },
];
