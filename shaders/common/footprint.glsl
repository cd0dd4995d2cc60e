// What a pixel covers of the sphere, and the lookups that suit its rays.

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

// What suits `rays` across and down a pixel.
MasterDetail footprintDetail(Footprint footprint, vec2 rays) {
  float width = footprintWidth(footprint);
#if SAMPLES == 0
  vec2 apart = footprintSides(footprint) / rays;
  return masterDetail(width, max(apart.x, apart.y) * ADAPTIVE_REACH);
#else
  return masterDetail(width, reachOf(width, rays.x));
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
