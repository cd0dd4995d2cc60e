// The rays of a pixel within which the place on the master changes evenly: taken in steps from its middle,
// since working out where a ray looks costs more than looking there.

// A step on the master, which may lead over the seam.
vec2 acrossSeam(vec2 stepped) {
  return vec2(stepped.x - floor(stepped.x + 0.5), stepped.y);
}

// A place that steps led to. Near a pole they may lead past the seam by more texels than its gutter has.
vec2 steppedPlace(vec2 uv) {
#ifdef STEPPED
  return vec2(fract(uv.x), uv.y);
#else
  return uv;
#endif
}

// `right` and `down`: how far the place moves from one pixel to the next.
vec3 steppedLight(vec2 uv, vec2 right, vec2 down, MasterDetail detail) {
  vec3 light = vec3(0.0);
  for (int row = 0; row < SAMPLES; row++) {
    for (int column = 0; column < SAMPLES; column++) {
      vec2 inPixel = (vec2(float(column), float(row)) + 0.5 + jitter) / float(SAMPLES) - 0.5;
      light += masterLightAt(steppedPlace(uv + inPixel.x * right + inPixel.y * down), detail);
    }
  }
  light /= float(SAMPLES * SAMPLES);
#ifdef MASTER_MAGNIFIED
  // One such lookup serves the whole pixel, which is smaller than a texel.
  if (detail.magnified > 0.0) {
    vec2 through = uv + jitter.x * right + jitter.y * down;
    light = mix(light, masterMagnifiedLight(steppedPlace(through)), detail.magnified);
  }
#endif
  return light;
}
