// The rays of a pixel within which the place on the master changes evenly: taken in steps from its middle,
// since working out where a ray looks costs more than looking there.

// `uv`: the middle's place; `right` and `down`: how far it moves from one pixel to the next.
vec3 steppedLight(vec2 uv, vec2 right, vec2 down, MasterDetail detail) {
  vec2 inPixel = (0.5 + jitter) / float(SAMPLES) - 0.5;
  vec2 first = uv + inPixel.x * right + inPixel.y * down;
  vec2 finer = masterPlaceAt(first, detail.finer);
  vec2 coarser = masterPlaceAt(first, detail.coarser);
  vec3 light = vec3(0.0);
  for (int row = 0; row < SAMPLES; row++) {
    for (int column = 0; column < SAMPLES; column++) {
      vec2 way = (float(column) * right + float(row) * down) / float(SAMPLES);
      light += masterLightBetween(finer + way * detail.finer.size, coarser + way * detail.coarser.size, detail);
    }
  }
  light /= float(SAMPLES * SAMPLES);
#ifdef MASTER_MAGNIFIED
  // One such lookup serves the whole pixel, which is smaller than a texel.
  if (detail.magnified > 0.0) {
    vec2 through = uv + jitter.x * right + jitter.y * down;
    light = mix(light, masterMagnifiedLight(through), detail.magnified);
  }
#endif
  return light;
}
