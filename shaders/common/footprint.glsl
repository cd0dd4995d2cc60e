// What a pixel covers of the sphere, and the lookups that suit its rays.

// Lookups reach a little less far than the rays lie apart: they blur by themselves. Measured against the
// reference in tests/render/frame.test.ts.
const float REACH = SAMPLES == 1 ? 1.0 : 0.8;

#if SAMPLES == 0
const float LEAST_SIDE = 4.0;
const float LEAST_MAGNIFIED_SIDE = 2.0;
const float MOST_RAYS = 64.0;
const float ADAPTIVE_REACH = 0.5;

// Rays across and down a pixel that is `texels` of the master wide and high.
vec2 raysFor(vec2 texels, float whole) {
  // Across a ball's rim no derivative tells how fast the picture changes there.
  if (whole < 1.0) return vec2(float(MOST_SIDE));
  // A texel that covers two pixels has little for many rays to find.
  if (max(texels.x, texels.y) < 0.5) return vec2(LEAST_MAGNIFIED_SIDE);
  vec2 rays = clamp(ceil(texels), LEAST_SIDE, MOST_RAYS / LEAST_SIDE);
  return max(vec2(LEAST_SIDE), floor(rays * min(1.0, sqrt(MOST_RAYS / (rays.x * rays.y)))));
}
#endif

// How far a pixel's direction turns along its two sides, and the angle's square that it covers: radians.
struct Footprint {
  vec2 sides;
  float area;
};

// What suits `rays` across and down a pixel.
MasterDetail footprintDetail(Footprint footprint, vec2 rays) {
  // The mean of the two sides, or half the wider one where the pixel is drawn out.
  float width = max(sqrt(footprint.area), 0.5 * max(footprint.sides.x, footprint.sides.y));
#if SAMPLES == 0
  vec2 apart = footprint.sides / rays;
  return masterDetail(width, max(apart.x, apart.y) * ADAPTIVE_REACH);
#else
  return masterDetail(width, width * REACH * sqrt(exposure) / rays.x);
#endif
}

// Light of one ray, counting what magnification asks for.
vec3 rayLight(vec3 direction, MasterDetail detail) {
  vec3 arriving = masterLight(direction, detail);
#ifdef MASTER_MAGNIFIED
  if (detail.magnified > 0.0) {
    arriving = mix(arriving, masterMagnifiedLight(masterPlace(direction)), detail.magnified);
  }
#endif
  return arriving;
}
