// A smooth part of a frame: where it looks, and the level of detail, are interpolated between the corners of
// a mesh, since angles cost more than lookups. Otherwise as frame.frag, whose picture it shows.

varying vec2 masterUv;
varying vec2 masterLook; // level; magnified

void main() {
  MasterDetail detail = masterDetailAt(masterLook.x, masterLook.y);
  vec2 right = dFdx(masterUv);
  vec2 down = dFdy(masterUv);
  vec3 light = vec3(0.0);
  for (int row = 0; row < SAMPLES; row++) {
    for (int column = 0; column < SAMPLES; column++) {
      vec2 inPixel = (vec2(float(column), float(row)) + 0.5 + jitter) / float(SAMPLES) - 0.5;
      light += masterLightAt(masterUv + inPixel.x * right + inPixel.y * down, detail);
    }
  }
  light /= float(SAMPLES * SAMPLES);
#ifdef MASTER_MAGNIFIED
  if (detail.magnified > 0.0) {
    vec2 through = masterUv + jitter.x * right + jitter.y * down;
    light = mix(light, masterMagnifiedLight(through), detail.magnified);
  }
#endif
  vec4 frame = vec4(light, 1.0);
#ifdef EXPOSE
  gl_FragColor = texture2D(earlierLight, gl_FragCoord.xy / frameSize) + frame * (exposure * sourceShare);
#else
  gl_FragColor = develop(frame);
#endif
}
