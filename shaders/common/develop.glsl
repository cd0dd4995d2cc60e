// From linear light to what a frame holds: encoded, straight alpha, and dithered where it is about to be
// rounded to 8 bits, so that smooth skies keep no steps.

#ifdef DITHER
uniform sampler2D ditherMask; // a blue-noise threshold for each pixel, repeated

// Under half a code either way by more than lightEncodeNearly is off: what already is a whole code stays as it is.
vec3 developDither() {
  float threshold = texture2D(ditherMask, gl_FragCoord.xy / DITHER).r * 255.0 / 256.0 + 0.5 / 256.0;
  return (fract(threshold + vec3(0.0, 0.3333, 0.6667)) - 0.5) * 0.94 / 255.0;
}
#endif

// `light` is linear and multiplied by its alpha.
vec4 develop(vec4 light) {
  if (light.a <= 0.0) return vec4(0.0);
#ifdef DITHER
  vec3 colour = lightEncodeNearly(light.rgb / light.a) + developDither();
#else
  vec3 colour = lightEncode(light.rgb / light.a);
#endif
  return vec4(colour, min(light.a, 1.0));
}
