// The direction `share` of the way from one unit ray to another along their great circle, and the
// mask in w mixed alike. Twin of src/projection/blend.ts.
vec4 blendRays(vec4 from, vec4 to, float share) {
  vec3 sum = from.xyz + to.xyz;
  vec3 difference = to.xyz - from.xyz;
  float near = length(sum);
  float apart = length(difference);
  vec3 side = difference / max(apart, 1e-12);
  // Opposite rays have no great circle of their own: take the one through a fixed third direction.
  // Just before, rounding errors have to be taken out of their middle.
  vec3 third = abs(side.y) < 0.9 ? vec3(0.0, 1.0, 0.0) : vec3(1.0, 0.0, 0.0);
  vec3 rough = near > 1e-5 ? sum : third;
  vec3 middle = near > 1e-2 ? sum / near : normalize(rough - side * dot(side, rough));
  vec2 turn = angleCosSin((2.0 * share - 1.0) * angleAtan2(apart, near));
  return vec4(normalize(middle * turn.x + side * turn.y), mix(from.w, to.w, share));
}
