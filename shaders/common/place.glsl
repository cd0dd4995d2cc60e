// Where on the master a direction lies, and at which of its levels a lookup is right.

uniform vec2 masterSize; // texels of the whole master, level 0

// u to the right, v down, both 0 to 1.
vec2 masterPlace(vec3 direction) {
  float longitude = angleAtan2(direction.x, -direction.z);
  float latitude = angleAtan2(direction.y, length(direction.xz));
  return vec2(0.5 + longitude * 0.15915494309, 0.5 - latitude * 0.31830988618);
}

float masterTexelsARadian() {
  return masterSize.y * 0.31830988618;
}

// For a lookup that stands for `reach` radians.
float masterLevelFor(float reach) {
  return clamp(log2(max(reach * masterTexelsARadian(), 1e-9)), 0.0, MASTER_LEVELS - 1.0);
}

// How much a pixel of `footprint` radians magnifies the master: passed over gradually from one texel a
// pixel, 0, to two pixels a texel, 1.
float masterMagnified(float footprint) {
  return clamp(2.0 - 2.0 * footprint * masterTexelsARadian(), 0.0, 1.0);
}
