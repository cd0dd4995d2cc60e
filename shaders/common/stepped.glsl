// The rays of a pixel within which the place on the master changes evenly: taken in steps from its middle,
// since working out where a ray looks costs more than looking there.

// One level's mean light over all rays, of which `first` is the first one's place. The steps lead from pixel to pixel.
vec3 steppedLevelLight(vec2 first, vec2 right, vec2 down, MasterLevel level) {
  vec2 place = masterPlaceAt(first, level);
  vec2 across = right * level.size / float(SAMPLES);
  vec2 along = down * level.size / float(SAMPLES);
  vec3 light = vec3(0.0);
  for (int row = 0; row < SAMPLES; row++) {
    for (int column = 0; column < SAMPLES; column++) {
      light += masterLevelLightAt(place + float(column) * across + float(row) * along, level);
    }
  }
  return light / float(SAMPLES * SAMPLES);
}

// `uv`: the middle's place; `right` and `down`: how far it moves from one pixel to the next.
vec3 steppedLight(vec2 uv, vec2 right, vec2 down, MasterDetail detail) {
  vec2 inPixel = (0.5 + jitter) / float(SAMPLES) - 0.5;
  vec2 first = uv + inPixel.x * right + inPixel.y * down;
  vec3 light = steppedLevelLight(first, right, down, detail.finer);
#ifdef MASTER_TWO_LEVELS
  light = mix(light, steppedLevelLight(first, right, down, detail.coarser), detail.share);
#endif
#ifdef MASTER_MAGNIFIED
  // One such lookup serves the whole pixel, which is smaller than a texel.
  if (detail.magnified > 0.0) {
    vec2 through = uv + jitter.x * right + jitter.y * down;
    light = mix(light, masterMagnifiedLight(through), detail.magnified);
  }
#endif
  return light;
}
