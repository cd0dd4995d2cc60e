// The picture over a plain colour, which may be transparent. `light` is already weighted by `covered`.
vec4 overBackground(vec3 light, float covered, vec2 at) {
  float behind = background.a * (1.0 - covered);
  float alpha = covered + behind;
  vec3 sum = light + behind * lightDecode(background.rgb);
  return vec4(lightEncode(sum / max(alpha, 1e-6)), alpha);
}
