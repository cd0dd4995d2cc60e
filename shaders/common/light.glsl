// sRGB's transfer function for averages in linear light.

#ifdef PLAIN
// One lookup a pixel: nothing to average, so nothing to decode.
vec3 lightDecode(vec3 c) {
  return c;
}

vec3 lightEncode(vec3 c) {
  return c;
}
#else

// A polynomial (weighted minimax fit to IEC 61966-2-1) that keeps within 0.43 of an 8-bit code of the
// exact curve; the power function costs several times as much, and this runs for every lookup.
vec3 lightDecode(vec3 c) {
  return c * (0.066433950 + c * (0.195001726 + c * (1.769136810 + c * (-1.777412535 + c * 0.750610477))));
}

vec3 lightDecodeSlope(vec3 c) {
  return 0.066433950
    + c * (0.390003452 + c * (5.307410430 + c * (-7.109650140 + c * 3.753052385)));
}

vec3 lightDecodeBend(vec3 c) {
  return 0.390003452 + c * (10.614820860 + c * (-21.328950444 + c * 15.012209540));
}

// The inverse of lightDecode to 0.028 of a code (rational minimax fit), for what is about to be dithered.
vec3 lightEncodeNearly(vec3 light) {
  light = max(light, 0.0);
  vec3 root = sqrt(light);
  vec3 over = 14.0620504 + root * (118.840924 + root * (-78.4154053 - 2.65270645 * root));
  vec3 under = 1.0 + root * (3.20295693 + root * (131.448431 - 83.7302614 * root));
  return clamp(light * over / under, 0.0, 1.0);
}

// The same to 0.006 of a code: a first guess from a root, which costs far less than a power (minimax fit, off by up to
// 4.3 codes), then one step of Halley's.
vec3 lightEncode(vec3 light) {
  light = max(light, 0.0);
  vec3 root = sqrt(light);
  vec3 c = root * (0.963011830 + root * (0.443395385 - 0.424434934 * root));
  vec3 off = lightDecode(c) - light;
  vec3 slope = lightDecodeSlope(c);
  c -= 2.0 * off * slope / (2.0 * slope * slope - off * lightDecodeBend(c));
  return clamp(c, 0.0, 1.0);
}
#endif
