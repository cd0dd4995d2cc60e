// The picture over a plain colour, which may be transparent. `light` is already weighted by `covered`.
vec4 overBackground(vec3 light, float covered, vec2 at) {
  float behind = background.a * (1.0 - covered);
  return vec4(light + behind * lightDecode(background.rgb), covered + behind);
}
